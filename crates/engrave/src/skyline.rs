//! How far things reach out from a staff, all along it.

use crate::units::Sp;

/// The steps along the staff that are told apart.
const STEP: f64 = 0.25;

/// How far things reach in one direction.
#[derive(Clone, Debug)]
pub(crate) struct Skyline {
    /// Where the first step begins.
    left: Sp,
    reaches: Vec<f64>,
}

impl Skyline {
    /// A flat one along the staff, at this reach.
    pub(crate) fn flat(left: Sp, right: Sp, reach: Sp) -> Skyline {
        let count = ((right - left).0 / STEP).ceil().max(1.0) as usize + 1;
        Skyline { left, reaches: vec![reach.0; count] }
    }

    fn steps(&self, from: Sp, to: Sp) -> std::ops::Range<usize> {
        let step = |x: Sp| ((x - self.left).0 / STEP).max(0.0);
        let last = self.reaches.len() - 1;
        let first = (step(from) as usize).min(last);
        first..(step(to).ceil() as usize).clamp(first + 1, last + 1)
    }

    /// The farthest reach between two places.
    pub(crate) fn reach(&self, from: Sp, to: Sp) -> Sp {
        let steps = self.reaches[self.steps(from, to)].iter();
        Sp(steps.copied().fold(f64::NEG_INFINITY, f64::max))
    }

    /// Something reaches so far between two places.
    pub(crate) fn raise(&mut self, from: Sp, to: Sp, reach: Sp) {
        let steps = self.steps(from, to);
        for step in &mut self.reaches[steps] {
            *step = step.max(reach.0);
        }
    }

    /// How far two that face each other must be apart, from baseline to baseline, to touch.
    pub(crate) fn facing(&self, other: &Skyline) -> Sp {
        let sums = self.reaches.iter().zip(&other.reaches).map(|(one, two)| one + two);
        Sp(sums.fold(f64::NEG_INFINITY, f64::max))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_stands_side_by_side_does_not_push() {
        let mut one = Skyline::flat(Sp(0.0), Sp(20.0), Sp(0.0));
        let mut two = one.clone();
        one.raise(Sp(2.0), Sp(4.0), Sp(3.0));
        two.raise(Sp(8.0), Sp(9.0), Sp(5.0));
        assert_eq!(one.facing(&two), Sp(5.0));
        two.raise(Sp(3.0), Sp(9.0), Sp(4.0));
        assert_eq!(one.facing(&two), Sp(7.0));
        assert_eq!(one.reach(Sp(4.5), Sp(9.0)), Sp(0.0));
    }
}
