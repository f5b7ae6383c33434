//! Sums of what is observed: what it weighs, or how often each kind was seen.

use crate::rules::rule::{Heard, Meeting, OfEvent, OfMeeting};
use crate::rules::{Listed, Sink};
use crate::weights::{Placed, Weights};

/// A sum of kinds of things.
pub(crate) trait Sum<'w>: Sink + Clone {
    /// Nothing yet.
    fn nothing(weights: &'w Weights) -> Self;
    /// One more.
    fn count<W: Placed>(&mut self, kind: W);
    /// All of another sum.
    fn add(&mut self, other: &Self);
    /// Without all of another sum.
    fn subtract(&mut self, other: &Self);
}

/// What all weighs together.
#[derive(Clone, Copy)]
pub(crate) struct Cost<'w> {
    weights: &'w Weights,
    pub(crate) sum: f64,
}

impl Sink for Cost<'_> {
    #[inline]
    fn event<R: Listed + OfEvent>(&mut self, seen: R, _: &Heard<'_>) {
        self.count(seen);
    }

    #[inline]
    fn meeting<R: Listed + OfMeeting>(&mut self, seen: R, _: &Meeting<'_>) {
        self.count(seen);
    }
}

impl<'w> Sum<'w> for Cost<'w> {
    fn nothing(weights: &'w Weights) -> Cost<'w> {
        Cost { weights, sum: 0.0 }
    }

    #[inline]
    fn count<W: Placed>(&mut self, kind: W) {
        self.sum += f64::from(self.weights.of(kind));
    }

    fn add(&mut self, other: &Cost<'w>) {
        self.sum += other.sum;
    }

    fn subtract(&mut self, other: &Cost<'w>) {
        self.sum -= other.sum;
    }
}

/// How often each kind was seen.
#[derive(Clone)]
pub(crate) struct Counts(pub(crate) Weights);

impl Sink for Counts {
    fn event<R: Listed + OfEvent>(&mut self, seen: R, _: &Heard<'_>) {
        self.count(seen);
    }

    fn meeting<R: Listed + OfMeeting>(&mut self, seen: R, _: &Meeting<'_>) {
        self.count(seen);
    }
}

impl<'w> Sum<'w> for Counts {
    fn nothing(_: &'w Weights) -> Counts {
        Counts(Weights::nothing())
    }

    fn count<W: Placed>(&mut self, kind: W) {
        *self.0.of_mut(kind) += 1.0;
    }

    fn add(&mut self, other: &Counts) {
        let pairs = self.0.values_mut().iter_mut().zip(other.0.values());
        pairs.for_each(|(own, other)| *own += other);
    }

    fn subtract(&mut self, other: &Counts) {
        let pairs = self.0.values_mut().iter_mut().zip(other.0.values());
        pairs.for_each(|(own, other)| *own -= other);
    }
}
