//! How exactly a melody is that of another, note for note.

use rudiments::{Pitch, Step};

use super::{Form, Quality};
use crate::texture::Height;

/// How exact an imitation is.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Exactness {
    /// How many notes are at the same interval, in semitones.
    pub(super) exact: usize,
    /// The fewest signs that would make all of them so, each step once.
    pub(super) signs: Vec<Pitch>,
}

impl Exactness {
    /// Of notes that go with others, step by step.
    pub(super) fn of(pairs: &[(Height, Height)], form: Form) -> Exactness {
        let apart = |(one, other): &(Height, Height)| {
            let one = i32::from(one.semitones);
            i32::from(other.semitones) - if form == Form::Inverted { -one } else { one }
        };
        let needed = |interval: i32| -> Vec<Pitch> {
            let mut signs: Vec<Pitch> = Vec::new();
            for pair in pairs.iter().filter(|pair| apart(pair) != interval) {
                let sign = sounding(pair.1, interval - apart(pair));
                if !signs.iter().any(|other| is_same(*other, sign)) {
                    signs.push(sign);
                }
            }
            signs
        };
        let mut intervals: Vec<i32> = pairs.iter().map(apart).collect();
        intervals.sort_unstable();
        intervals.dedup();
        let exact = |interval: i32| pairs.iter().filter(|pair| apart(pair) == interval).count();
        // The fewest signs; if as many, where more notes stay as they are.
        let best = intervals.into_iter().map(|interval| {
            let (signs, exact) = (needed(interval), exact(interval));
            (signs.len(), std::cmp::Reverse(exact), interval, signs)
        });
        let best = best.min_by_key(|(signs, exact, interval, _)| (*signs, *exact, *interval));
        best.map_or(Exactness { exact: 0, signs: Vec::new() }, |(_, exact, _, signs)| Exactness {
            exact: exact.0,
            signs,
        })
    }

    /// Of an answer that has the same steps.
    pub(super) fn quality(&self) -> Quality {
        if self.signs.is_empty() { Quality::Exact } else { Quality::Steps }
    }
}

/// A note as it would sound so many semitones higher, on the same step.
fn sounding(height: Height, raised: i32) -> Pitch {
    let tone = height.tone();
    let plain = Pitch::new(tone, 0).key_number();
    let alteration = i32::from(height.semitones) + raised - plain;
    Pitch::new(tone, alteration.clamp(-9, 9) as i8)
}

/// Whether two signs are the same, octaves left out.
fn is_same(one: Pitch, other: Pitch) -> bool {
    let step = |pitch: Pitch| -> (Step, i8) { (pitch.tone.step, pitch.alteration) };
    step(one) == step(other)
}

/// The pitch of a note.
pub(super) fn pitch(height: Height) -> Pitch {
    sounding(height, 0)
}
