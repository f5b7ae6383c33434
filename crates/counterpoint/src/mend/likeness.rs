//! What a candidate changes in the likeness of a voice to the others and to itself.

use super::repairs::Candidate;
use crate::kinds::Kinds;
use crate::melodies::{Melodies, Window, windows};
use crate::rules::Likeness;
use crate::sum::Sum;
use crate::texture::{Line, Note};
use crate::weights::Weights;

/// What a candidate changes.
pub(crate) fn changed<'w, S: Sum<'w>>(
    melodies: &Melodies,
    line: &Line,
    candidate: &Candidate,
    read: &[Note],
    weights: &'w Weights,
) -> S {
    let notes = &line.notes;
    let before = &notes[candidate.from.saturating_sub(4)..candidate.from];
    let after = &notes[candidate.to..(candidate.to + 4).min(notes.len())];
    let with = |middle| windows(before.iter().chain(middle).chain(after));
    let typed = &notes[candidate.from..candidate.to];
    let own = counted(with(typed));
    let mut changed = S::nothing(weights);
    let mut known = S::nothing(weights);
    count(melodies, with(read), &own, &mut changed);
    count(melodies, with(typed), &own, &mut known);
    changed.subtract(&known);
    changed
}

/// Counts how windows are like those of the piece, `own` aside.
fn count<'w>(
    melodies: &Melodies,
    windows: impl Iterator<Item = Window>,
    own: &[(Window, u16)],
    sum: &mut impl Sum<'w>,
) {
    for (melody, length) in windows {
        let Some(known) = melodies.lengths(melody) else { continue };
        let mut others = *known;
        let first = own.partition_point(|((other, _), _)| *other < melody);
        for ((_, length), times) in own[first..].iter().take_while(|one| one.0.0 == melody) {
            let count = &mut others[length.number()];
            *count = count.saturating_sub(*times);
        }
        if let Some(likeness) = Likeness::of(length, &others) {
            sum.count(likeness);
        }
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
