//! The search for stretches that are read under a wrong clef.

use std::ops::Range;

use rudiments::{Pitch, Step};

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

/// How many of the notes before each place have a key that was not built, and have another as typed: of the
/// black ones, keyboards in quarter-comma meantone have C#, Eb, F#, G# and Bb (common practice), and singers
/// who read a clef rightly meet few others.
fn strange_keys(read: &[Note], typed: &[Note]) -> Vec<usize> {
    let mut count = 0;
    let strange = read.iter().zip(typed).map(|(read, typed)| {
        count += usize::from(is_strange(read) && !is_strange(typed));
        count
    });
    std::iter::once(0).chain(strange).collect()
}

fn is_strange(note: &Note) -> bool {
    note.pitch.filter(|pitch| pitch.altered).is_some_and(|pitch| {
        let Pitch { tone, alteration } = pitch.pitch();
        match alteration {
            0 => false,
            1 => !matches!(tone.step, Step::C | Step::F | Step::G),
            -1 => !matches!(tone.step, Step::B | Step::E),
            _ => true,
        }
    })
}

/// Whether each note is the first of its line, rests left out.
fn firsts(notes: &[Note]) -> Vec<bool> {
    let mut is_first = false;
    let mut first = |note: &Note| {
        is_first |= note.facts.begins_line;
        let here = is_first;
        is_first &= note.pitch.is_none();
        here
    };
    notes.iter().map(&mut first).collect()
}

/// A voice keeps its compass (common practice): so many steps beyond that of its other notes are too many.
const BEYOND: i16 = 3;

/// So many notes tell the compass of a voice.
const COMPASS_KNOWN: usize = 100;

/// The lowest and highest rungs before each place of a voice, and from it on.
struct Compass {
    rungs: Vec<Option<i16>>,
    before: Vec<Option<(i16, i16)>>,
    after: Vec<Option<(i16, i16)>>,
}

impl Compass {
    fn of(notes: &[Note]) -> Compass {
        let rungs: Vec<Option<i16>> =
            notes.iter().map(|note| note.pitch.map(|pitch| pitch.rung)).collect();
        let grown = |all: &mut Option<(i16, i16)>, rung: &Option<i16>| {
            *all = wider(*all, rung.map(|rung| (rung, rung)));
            Some(*all)
        };
        let before = std::iter::once(None).chain(rungs.iter().scan(None, grown)).collect();
        let mut after: Vec<_> =
            std::iter::once(None).chain(rungs.iter().rev().scan(None, grown)).collect();
        after.reverse();
        Compass { rungs, before, after }
    }

    /// Whether notes that are moved leave the compass of all others, and do not leave it as they stand.
    fn is_left(&self, stretch: Range<usize>, steps: i32) -> bool {
        if self.rungs.len() - stretch.len() < COMPASS_KNOWN {
            return false;
        }
        let others = wider(self.before[stretch.start], self.after[stretch.end]);
        let Some((low, high)) = others else { return false };
        let own = self.rungs[stretch].iter().flatten();
        let leaves = |rung: i16| rung <= low - BEYOND || rung >= high + BEYOND;
        own.clone().any(|rung| leaves(rung + steps as i16))
            && !own.clone().any(|rung| leaves(*rung))
    }
}

fn wider(one: Option<(i16, i16)>, other: Option<(i16, i16)>) -> Option<(i16, i16)> {
    match (one, other) {
        (Some((low, high)), Some((lower, higher))) => Some((low.min(lower), high.max(higher))),
        _ => one.or(other),
    }
}

impl Known<'_> {
    /// The likeliest stretches that are read under a wrong clef, with their costs.
    pub(super) fn clefs(&self, against: &mut Against<'_>, found: &mut Vec<(Candidate, f64)>) {
        let Known { line, here, weights, .. } = *self;
        let count = line.notes.len();
        // Each line of a source has its clef (common practice): where its lines are known, a clef is misread
        // up to the end of one.
        let has_lines = line.notes.iter().skip(1).any(|note| note.facts.begins_line);
        let may_end = |place: usize| !has_lines || line.notes[place].facts.begins_line;
        // Half of such stretches begin a line, with its clef, and the others where a change was overlooked or the eye
        // went astray: so any place but the first costs more, by as many notes as a line has.
        let lines = line.notes.iter().filter(|note| note.facts.begins_line).count().max(1);
        let firsts = firsts(&line.notes);
        let astray = (count as f64 / lines as f64).ln();
        let begins = |place: usize| if !has_lines || firsts[place] { 0.0 } else { astray };
        let compass = Compass::of(&line.notes);
        for steps in CLEFS {
            let notes: Vec<Note> = line.notes.iter().map(|note| transposed(*note, steps)).collect();
            let there = pass(against, &notes, 0, weights);
            let gain = |place: usize| there[place] - here[place];
            // For each beginning, the end that makes the stretch cheapest.
            let mut best = count;
            let mut stretches: Vec<(f64, usize, usize)> = Vec::new();
            for from in (0..count.saturating_sub(SHORTEST_STRETCH)).rev() {
                let end = from + SHORTEST_STRETCH;
                if may_end(end) && gain(end) < gain(best) {
                    best = end;
                }
                if line.notes[from].pitch.is_some() {
                    stretches.push((gain(best) - gain(from) + begins(from), from, best));
                }
            }
            stretches.sort_by(|one, other| one.0.total_cmp(&other.0));
            stretches.truncate(MOST_STRETCHES);
            let kind = Kind::WrongClef;
            let strange = strange_keys(&notes, &line.notes);
            for (_, from, to) in stretches {
                if strange[to] > strange[from] || compass.is_left(from..to, steps) {
                    continue;
                }
                let repair = Repair::Transpose { steps, events: (to - from) as u32 };
                let candidate = Candidate::of_pitch(kind, repair, from, to);
                // Only the joints are looked at closely; what is between them is known.
                let stretch = Stretch { typed: &line.notes, read: &notes, from, to, weights };
                let cost = stretch.cost(here, &there, against) + prior(&candidate, weights);
                found.push((candidate, cost + begins(from)));
            }
        }
    }
}
