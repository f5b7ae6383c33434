//! The search for stretches that are read under a wrong clef.

use super::known::{Known, pass, prior};
use super::stretch::Stretch;
use crate::against::Against;
use crate::mend::candidate::{Candidate, transposed};
use crate::slip::{Kind, Repair};
use crate::texture::Note;

/// Steps by which a clef misread displaces notes: one line up or down, two lines, and the like.
const CLEFS: [i32; 4] = [2, -2, 4, -4];

/// The fewest notes that are looked at as read under a wrong clef.
const SHORTEST_STRETCH: usize = 4;

/// So many beginnings of such a stretch are looked at closely.
const MOST_STRETCHES: usize = 24;

impl Known<'_> {
    /// The likeliest stretches that are read under a wrong clef, with their costs.
    pub(super) fn clefs(&self, against: &mut Against<'_>, found: &mut Vec<(Candidate, f64)>) {
        let Known { line, here, weights, .. } = *self;
        let count = line.notes.len();
        for steps in CLEFS {
            let notes: Vec<Note> = line.notes.iter().map(|note| transposed(*note, steps)).collect();
            let there = pass(against, &notes, 0, weights);
            let gain = |place: usize| there[place] - here[place];
            // For each beginning, the end that makes the stretch cheapest.
            let mut best = count;
            let mut stretches: Vec<(f64, usize, usize)> = Vec::new();
            for from in (0..count.saturating_sub(SHORTEST_STRETCH)).rev() {
                if gain(from + SHORTEST_STRETCH) < gain(best) {
                    best = from + SHORTEST_STRETCH;
                }
                if line.notes[from].pitch.is_some() {
                    stretches.push((gain(best) - gain(from), from, best));
                }
            }
            stretches.sort_by(|one, other| one.0.total_cmp(&other.0));
            stretches.truncate(MOST_STRETCHES);
            let kind = Kind::WrongClef;
            for (_, from, to) in stretches {
                let repair = Repair::Transpose { steps, events: (to - from) as u32 };
                let candidate = Candidate::of_pitch(kind, repair, from, to);
                // Only the joints are looked at closely; what is between them is known.
                let stretch = Stretch { typed: &line.notes, read: &notes, from, to, weights };
                let cost = stretch.cost(here, &there, against) + prior(&candidate, weights);
                found.push((candidate, cost));
            }
        }
    }
}
