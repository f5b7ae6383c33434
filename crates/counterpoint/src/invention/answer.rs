//! What a follower sings: the subject at its interval, and the signs that would change it.

use rudiments::{Pitch, Step};

use super::entry::Entry;
use super::judge::Needed;
use super::line::{Line, follower};
use super::subject::Subject;

/// How like its subject an answer is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Quality {
    /// In every tone and semitone: what Zarlino calls *fuga* (III, ch. 51; from memory).
    Exact,
    /// In the steps of the staff alone: his *imitatione*.
    Steps,
}

impl Quality {
    /// Its name in JSON.
    pub fn name(self) -> &'static str {
        match self {
            Quality::Exact => "exact",
            Quality::Steps => "steps",
        }
    }
}

/// A note of a follower with another sign than its signature has.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Signed {
    /// The follower, from 1, in the order of entry.
    pub voice: u32,
    /// Its note, by its number in the subject.
    pub note: u32,
    /// What it sounds with the sign.
    pub pitch: Pitch,
}

/// A follower's notes.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Answer {
    pub(crate) pitches: Vec<Pitch>,
}

impl Answer {
    /// The subject at so many steps, under its signature.
    pub(crate) fn new(subject: &Subject, steps: i32) -> Answer {
        let pitches = subject.notes().iter().map(|note| subject.answer(*note, steps));
        Answer { pitches: pitches.collect() }
    }

    pub(crate) fn line(&self, subject: &Subject, entry: Entry) -> Line {
        follower(subject, &self.pitches, entry.delay)
    }

    /// How like the subject it is.
    pub(crate) fn quality(&self, subject: &Subject) -> Quality {
        let mut distances = self.distances(subject);
        let first = distances.next();
        if distances.all(|distance| Some(distance) == first) {
            Quality::Exact
        } else {
            Quality::Steps
        }
    }

    /// How many semitones it is above the subject, note by note.
    fn distances(&self, subject: &Subject) -> impl Iterator<Item = i32> {
        let notes = subject.notes().iter().zip(&self.pitches);
        notes.map(|(note, pitch)| pitch.key_number() - note.pitch.key_number())
    }

    /// The answer with the fewest signs that make it exact, if signs in use do.
    pub(crate) fn made_exact(&self, subject: &Subject) -> Option<Answer> {
        let mut sizes: Vec<i32> = self.distances(subject).collect();
        sizes.sort_unstable();
        sizes.dedup();
        let moved = sizes.into_iter().filter_map(|size| {
            let pitches = self.pitches.iter().zip(subject.notes()).map(|(pitch, note)| {
                let off = note.pitch.key_number() + size - pitch.key_number();
                altered(*pitch, off)
            });
            pitches.collect::<Option<Vec<Pitch>>>().map(|pitches| Answer { pitches })
        });
        moved.min_by_key(|answer| self.differing(answer).count())
    }

    fn differing(&self, other: &Answer) -> impl Iterator<Item = usize> {
        let pairs = self.pitches.iter().zip(other.pitches.clone()).enumerate();
        pairs.filter(|(_, (one, other))| **one != *other).map(|(place, _)| place)
    }

    /// The notes that have other signs than another answer.
    pub(crate) fn signs(&self, plain: &Answer, voice: u32, subject: &Subject) -> Vec<Signed> {
        let places = plain.differing(self);
        places
            .map(|place| Signed {
                voice,
                note: subject.notes()[place].number,
                pitch: self.pitches[place],
            })
            .collect()
    }

    /// The answer with the signs that are needed in a voice; nothing where they are not in use, ask for
    /// two signs at one note, or make the melody bad.
    pub(crate) fn with(
        &self,
        needed: &[Needed],
        voice: usize,
        subject: &Subject,
    ) -> Option<Answer> {
        let mut pitches = self.pitches.clone();
        for need in needed.iter().filter(|need| need.voice == voice) {
            let with = altered(self.pitches[need.note], need.semitones)?;
            let pitch = &mut pitches[need.note];
            if *pitch != self.pitches[need.note] && *pitch != with {
                return None;
            }
            *pitch = with;
        }
        let answer = Answer { pitches };
        let good = self.differing(&answer).all(|place| answer.is_melodic_at(place, subject));
        good.then_some(answer)
    }

    /// Whether a note is come to and left by intervals that are sung.
    fn is_melodic_at(&self, place: usize, subject: &Subject) -> bool {
        let notes = subject.notes();
        let pairs = [(place.checked_sub(1), Some(place)), (Some(place), Some(place + 1))];
        pairs.into_iter().all(|(from, to)| {
            let (Some(from), Some(to)) = (from, to.filter(|to| *to < notes.len())) else {
                return true;
            };
            notes[from].end() != notes[to].at || is_melodic(self.pitches[from], self.pitches[to])
        })
    }
}

/// A pitch so many semitones higher on the same step, where a sign in use makes it.
pub(crate) fn altered(pitch: Pitch, semitones: i32) -> Option<Pitch> {
    let alteration = i32::from(pitch.alteration) + semitones;
    let step = pitch.tone.step;
    let is_used = match alteration {
        0 => true,
        1 => !matches!(step, Step::B | Step::E),
        -1 => !matches!(step, Step::C | Step::F),
        _ => false,
    };
    (semitones == 0 || is_used).then(|| Pitch::new(pitch.tone, alteration as i8))
}

/// Whether a voice sings an interval: seconds, thirds, fourths, fifths, sixths and octaves that are pure
/// (Zarlino III, ch. 37; from memory).
pub(crate) fn is_melodic(from: Pitch, to: Pitch) -> bool {
    let steps = to.tone.steps_above(from.tone);
    let semitones = (to.key_number() - from.key_number()) * if steps < 0 { -1 } else { 1 };
    matches!(
        (steps.abs(), semitones),
        (0, 0) | (1, 1 | 2) | (2, 3 | 4) | (3, 5) | (4, 7) | (5, 8 | 9) | (7, 12)
    )
}
