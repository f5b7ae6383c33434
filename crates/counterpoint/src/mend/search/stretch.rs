//! Stretches of a voice that are read at other pitches.

use crate::against::Against;
use crate::sum::{Cost, Sum};
use crate::texture::{Note, relate_one};
use crate::weights::Weights;

/// A stretch of a voice that is read otherwise, at other pitches.
pub(super) struct Stretch<'n> {
    /// The notes as typed.
    pub(super) typed: &'n [Note],
    /// All of them read otherwise.
    pub(super) read: &'n [Note],
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) weights: &'n Weights,
}

impl Stretch<'_> {
    /// What it costs beyond what is typed, from the sums for all notes as typed and read otherwise.
    pub(super) fn cost(&self, here: &[f64], there: &[f64], against: &mut Against<'_>) -> f64 {
        let gain = |place: usize| there[place] - here[place];
        gain(self.to) - gain(self.from) + self.joints(here, there, against)
    }

    /// What the notes at the joints of the stretch cost beyond what they do where all are typed,
    /// or all are read.
    fn joints(&self, here: &[f64], there: &[f64], against: &mut Against<'_>) -> f64 {
        let mut cost = Cost::nothing(self.weights);
        let mut note = |place: usize| {
            let inside = |place: usize| (self.from..self.to).contains(&place);
            let get = |place: usize| {
                (if inside(place) { self.read.get(place) } else { self.typed.get(place) }).copied()
            };
            let Some(mut note) = get(place) else { return };
            let before = place.checked_sub(1).and_then(get);
            relate_one(before.as_ref(), &mut note, get(place + 1).as_ref());
            against.seek(note.onset);
            against.note(before.as_ref(), &note, 0, &mut cost);
            let known = if inside(place) { there } else { here };
            cost.sum -= known[place + 1] - known[place];
        };
        if let Some(before) = self.from.checked_sub(1) {
            note(before);
            note(self.from);
        }
        if self.from == 0 || self.from + 1 < self.to {
            note(self.to - 1);
        }
        note(self.to);
        cost.sum
    }
}
