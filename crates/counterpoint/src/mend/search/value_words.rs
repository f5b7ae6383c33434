//! The search for value words that were left out, mistaken for others, or typed without need.
//!
//! A value word governs all events up to the next one, so such a slip changes the lengths of a run,
//! and moves what follows by the sum of that. It is looked for only where the sum is what the voice
//! is too short or too long by, against the last notes of the others: for each run and each pair of
//! values there is then one place at most where the run can begin.

use std::collections::BTreeMap;

use super::known::{Known, pass};
use crate::against::Against;
use crate::mend::candidate::{Candidate, by_degrees};
use crate::mend::counted::Recount;
use crate::slip::{Kind, Repair};
use crate::texture::{Line, Note};

/// By how many degrees a value word may be wrong.
const DEGREES: [i32; 4] = [1, -1, 2, -2];

/// The longest run that is looked at, in notes and rests.
const LONGEST: usize = 80;

/// At most so many runs are looked at closely in a voice.
const MOST_CLOSE: usize = 60;

/// Runs whose cost without the notes in them exceeds that of the best by more than this are not looked
/// at.
const MARGIN: f64 = 16.0;

impl Known<'_> {
    /// All runs of another value that are worth a close look, with their costs.
    pub(super) fn value_words(&self, against: &mut Against<'_>, found: &mut Vec<(Candidate, f64)>) {
        let mut by_shift: BTreeMap<i64, Vec<Candidate>> = BTreeMap::new();
        for run in runs(self.line) {
            let lacking = self.lacking(&self.line.notes[run.from], against);
            let mut found = |candidate: Candidate| {
                by_shift.entry(candidate.shift).or_default().push(candidate);
            };
            if self.line.notes[run.from].measure.is_perfect() {
                run.counted_candidates(self.line, &lacking, &mut found);
            } else {
                for shift in lacking {
                    run.candidates(self.line, shift, &mut found);
                }
            }
        }
        let mut rough: Vec<(f64, Candidate, usize)> = Vec::new();
        let mut sums: Vec<Vec<f64>> = Vec::new();
        for (shift, candidates) in by_shift {
            let there = pass(against, &self.line.notes, shift, self.weights);
            for candidate in candidates {
                let cost = self.rough(&candidate, &there, against);
                rough.push((cost, candidate, sums.len()));
            }
            sums.push(there);
        }
        rough.sort_by(|one, other| one.0.total_cmp(&other.0));
        rough.truncate(MOST_CLOSE);
        let best = rough.first().map_or(0.0, |(cost, ..)| *cost);
        for (cost, candidate, number) in rough {
            if cost > best + MARGIN {
                break;
            }
            let typed = self.typed(&candidate);
            let cost = self.cost(&candidate, &typed, &sums[number], against);
            found.push((candidate, cost));
        }
    }

    /// By how much the section of a note is too short, or too long if negative, so that it would end
    /// with one of the other voices.
    pub(super) fn lacking(&self, note: &Note, against: &Against<'_>) -> Vec<i64> {
        let last = self.ends[note.section as usize] - 1;
        let own = self.line.notes[last].onset;
        let finals = against.finals(note.section).iter().map(|other| other - own);
        let mut lacking: Vec<i64> = finals.filter(|ticks| *ticks != 0).collect();
        lacking.sort_unstable();
        lacking.dedup();
        lacking
    }
}

/// Notes and rests under one value word.
struct Run {
    from: usize,
    to: usize,
    /// Degrees from this value to the one before it, if there is one: 1 if that is the next smaller.
    to_before: Option<i32>,
}

/// The runs of a line in which all is counted plainly.
fn runs(line: &Line) -> Vec<Run> {
    let value = |place: usize| line.notes[place].shape.value as i32;
    let notes = &line.notes;
    let mut runs = Vec::new();
    let (mut before, mut from) = (None, 0);
    for to in 1..=notes.len() {
        let goes_on = notes
            .get(to)
            .is_some_and(|note| !note.facts.value_typed && note.section == notes[from].section);
        if goes_on {
            continue;
        }
        let plain = notes[from..to].iter().all(|note| note.facts.printed && !note.facts.odd);
        if plain && to - from <= LONGEST {
            let to_before = before.map(|before| value(before) - value(from));
            runs.push(Run { from, to, to_before });
        }
        (before, from) = (Some(from), to);
    }
    runs
}

impl Run {
    /// The runs of other values, to the end of this one, that move what follows by so many ticks.
    fn candidates(&self, line: &Line, shift: i64, mut found: impl FnMut(Candidate)) {
        for smaller in DEGREES {
            let mut sum = 0;
            for at in (self.from..self.to).rev() {
                let note = &line.notes[at];
                // The value of a last note says nothing.
                if !note.facts.last {
                    sum += by_degrees(note.length, smaller) - note.length;
                }
                if sum.abs() >= shift.abs() {
                    // A single note under a value of its own is looked for as such.
                    let alone = self.to - at == 1 && smaller.abs() == 1;
                    if sum == shift && !alone {
                        found(self.candidate(at, smaller, shift));
                    }
                    break;
                }
            }
        }
    }

    /// The same where the lengths of values hang on their neighbours: those that move what follows by
    /// one of these.
    fn counted_candidates(&self, line: &Line, shifts: &[i64], mut found: impl FnMut(Candidate)) {
        for at in self.from..self.to {
            let mut recount = Recount::at(line, at);
            for smaller in DEGREES {
                let alone = self.to - at == 1 && smaller.abs() == 1;
                let read = recount.with(self.kind(at, smaller), self.repair(at, smaller));
                let fits = |read: &Candidate| !alone && shifts.contains(&read.shift);
                read.filter(fits).into_iter().for_each(&mut found);
            }
        }
    }

    fn candidate(&self, at: usize, smaller: i32, shift: i64) -> Candidate {
        let (kind, repair) = (self.kind(at, smaller), self.repair(at, smaller));
        Candidate { kind, repair, at, from: at, to: self.to, shift, lengths: Vec::new() }
    }

    fn repair(&self, at: usize, smaller: i32) -> Repair {
        Repair::Degrees { smaller, events: (self.to - at) as u32 }
    }

    fn kind(&self, at: usize, smaller: i32) -> Kind {
        if at > self.from {
            Kind::ValueWordLeftOut
        } else if self.to_before == Some(smaller) {
            Kind::ValueWordTooMany
        } else {
            Kind::ValueWordWrong
        }
    }
}
