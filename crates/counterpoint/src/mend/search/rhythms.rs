//! The search for slips of rhythm.

use std::cmp::Reverse;
use std::collections::HashMap;

use super::known::{Known, pass};
use crate::against::Against;
use crate::mend::candidate::Candidate;
use crate::mend::repairs::{rhythm, tones_left_out};
use crate::slip::{Kind, Repair};
use crate::texture::Line;

/// At most so many displacements are tried in a voice: the most frequent ones.
const MOST_SHIFTS: usize = 28;

/// Beside them, so many by which the voice ends with another, or which a line may have been left out
/// for.
const MOST_ENDING_TOGETHER: usize = 8;

/// Repairs of rhythm whose cost without the notes around them exceeds that of the best by more
/// than this are not looked at.
const MARGIN: f64 = 16.0;

/// At most so many repairs of rhythm are looked at closely in a voice.
const MOST_CLOSE: usize = 400;

impl Known<'_> {
    /// All repairs of rhythm that are worth a close look, with their costs.
    pub(super) fn rhythms(&self, against: &mut Against<'_>, found: &mut Vec<(Candidate, f64)>) {
        let (line, minim) = (self.line, self.texture.minim);
        let mut by_shift: HashMap<i64, Vec<Candidate>> = HashMap::new();
        for at in 0..line.notes.len() {
            if line.notes[at].facts.printed {
                rhythm(line, at, |candidate| {
                    by_shift.entry(candidate.shift).or_default().push(candidate);
                });
            }
        }
        lines_left_out(line, against, minim, &mut by_shift);
        let mut together: Vec<i64> = Vec::new();
        for end in self.ends.iter().filter(|end| **end > 0) {
            together.extend(self.lacking(&line.notes[end - 1], against));
        }
        let mut shifts: Vec<(i64, Vec<Candidate>)> = by_shift.into_iter().collect();
        shifts.sort_by_key(|(shift, candidates)| (Reverse(candidates.len()), *shift));
        // Lines that were left out are few, and always looked at. Where values are perfect a repair may
        // move what follows by a length that no other does: it is looked at if the voice then ends with
        // another.
        let is_counted = |candidate: &Candidate| !candidate.lengths.is_empty();
        let (mut first, mut others): (Vec<_>, Vec<_>) =
            shifts.into_iter().partition(|(shift, candidates)| {
                let counted = || candidates.iter().any(is_counted);
                candidates[0].kind == Kind::LineLeftOut || together.contains(shift) && counted()
            });
        first.truncate(MOST_ENDING_TOGETHER);
        others.truncate(MOST_SHIFTS);
        let shifts = first.into_iter().chain(others);
        let mut rough: Vec<(f64, Candidate, usize)> = Vec::new();
        let mut best = f64::INFINITY;
        let mut sums: Vec<Vec<f64>> = Vec::new();
        for (number, (shift, candidates)) in shifts.enumerate() {
            let there = pass(against, &line.notes, shift, self.weights);
            for candidate in candidates {
                let cost = self.rough(&candidate, &there, against);
                best = best.min(cost);
                if cost <= best + MARGIN {
                    rough.push((cost, candidate, number));
                }
            }
            sums.push(there);
        }
        rough.retain(|(cost, ..)| *cost <= best + MARGIN);
        rough.sort_by(|one, other| one.0.total_cmp(&other.0));
        rough.truncate(MOST_CLOSE);
        for (_, candidate, number) in rough {
            let typed = self.typed(&candidate);
            let mut close = |candidate: Candidate| {
                let cost = self.cost(&candidate, &typed, &sums[number], against);
                found.push((candidate, cost));
            };
            if let Repair::InsertNote { value, dotted, .. } = candidate.repair {
                for tone in tones_left_out(line, candidate.at) {
                    let repair = Repair::InsertNote { value, dotted, tone };
                    close(Candidate { repair, ..candidate.clone() });
                }
            } else {
                close(candidate);
            }
        }
    }
}

/// The shortest stretch, in minims, that is taken for a line of the source.
const SHORTEST_LINE: i64 = 6;

/// Lines of the source that may have been left out: before a line, as long as the voice is short.
fn lines_left_out(
    line: &Line,
    against: &Against<'_>,
    minim: i64,
    by_shift: &mut HashMap<i64, Vec<Candidate>>,
) {
    let mut missing: Vec<Vec<i64>> = Vec::new();
    for note in line.notes.iter().filter(|note| note.facts.last) {
        let mut ticks: Vec<i64> = against
            .finals(note.section)
            .iter()
            .map(|other| other - note.onset)
            .filter(|ticks| *ticks >= SHORTEST_LINE * minim)
            .collect();
        ticks.sort_unstable();
        ticks.dedup();
        missing.resize(note.section as usize + 1, Vec::new());
        missing[note.section as usize] = ticks;
    }
    for (at, note) in line.notes.iter().enumerate() {
        if !note.facts.begins_line || !note.facts.printed {
            continue;
        }
        for ticks in missing.get(note.section as usize).into_iter().flatten() {
            let repair = Repair::InsertLine { ticks: *ticks };
            let kind = Kind::LineLeftOut;
            let shift = *ticks;
            let lengths = Vec::new();
            let candidate = Candidate { kind, repair, at, from: at, to: at, shift, lengths };
            by_shift.entry(*ticks).or_default().push(candidate);
        }
    }
}
