//! What a candidate changes in the likeness of a voice to the others and to itself.

use crate::kinds::Kinds;
use crate::melodies::{Melodies, Window, windows};
use crate::rules::Likeness;
use crate::sum::Sum;
use crate::texture::{Line, Note};
use crate::weights::Weights;

/// A stretch of a voice as typed, and how it is like the others and the voice itself.
pub(crate) struct Typed<'t, S> {
    melodies: &'t Melodies,
    /// The notes around the stretch that its melodies reach to.
    before: &'t [Note],
    after: &'t [Note],
    /// Its own melodies.
    own: Vec<(Window, u16)>,
    known: S,
    weights: &'t Weights,
}

impl<'t, S: Sum<'t>> Typed<'t, S> {
    /// The notes from `from` up to `to`.
    pub(crate) fn new(
        melodies: &'t Melodies,
        line: &'t Line,
        (from, to): (usize, usize),
        weights: &'t Weights,
    ) -> Typed<'t, S> {
        let notes = &line.notes;
        let before = &notes[from.saturating_sub(4)..from];
        let after = &notes[to..(to + 4).min(notes.len())];
        let known = S::nothing(weights);
        let mut typed = Typed { melodies, before, after, own: Vec::new(), known, weights };
        typed.own = counted(typed.with(&notes[from..to]));
        typed.known = typed.like(&notes[from..to]);
        typed
    }

    /// What other notes in place of the stretch change.
    pub(crate) fn changed(&self, read: &[Note]) -> S {
        let mut changed = self.like(read);
        changed.subtract(&self.known);
        changed
    }

    /// The melodies with these notes in place of the stretch.
    fn with<'n>(&self, notes: &'n [Note]) -> impl Iterator<Item = Window> + use<'n, 't, S>
    where
        't: 'n,
    {
        windows(self.before.iter().chain(notes).chain(self.after))
    }

    /// How like these notes are in place of the stretch to those of the piece, the stretch aside.
    fn like(&self, notes: &[Note]) -> S {
        let mut sum = S::nothing(self.weights);
        for (melody, length) in self.with(notes) {
            let Some(known) = self.melodies.lengths(melody) else { continue };
            let mut others = *known;
            let first = self.own.partition_point(|((other, _), _)| *other < melody);
            let own = self.own[first..].iter().take_while(|((other, _), _)| *other == melody);
            for ((_, length), times) in own {
                let count = &mut others[length.number()];
                *count = count.saturating_sub(*times);
            }
            if let Some(likeness) = Likeness::of(length, &others) {
                sum.count(likeness);
            }
        }
        sum
    }
}

/// Windows in order, each once, and how often it is among them.
fn counted(windows: impl Iterator<Item = Window>) -> Vec<(Window, u16)> {
    let mut own: Vec<(Window, u16)> = windows.map(|window| (window, 1)).collect();
    own.sort_unstable();
    own.dedup_by(|next, first| {
        let same = next.0 == first.0;
        first.1 = first.1.saturating_add(u16::from(same));
        same
    });
    own
}
