//! A voice as bare numbers, for judging.

use rudiments::{Pitch, Time, Value};

use super::subject::Subject;
use crate::rank::Rank;

/// Ticks in a minim; the times of a subject, and half of each, are whole.
pub(crate) const MINIM: i64 = 192;

/// A time in ticks.
pub(crate) fn ticks(time: Time) -> i64 {
    time.numerator() * (MINIM / time.denominator())
}

/// So many ticks as time.
pub(crate) fn time(ticks: i64) -> Time {
    Time::new(ticks, MINIM)
}

/// A note that sounds.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Tick {
    /// When it begins.
    pub(crate) on: i64,
    /// When it is over.
    pub(crate) off: i64,
    /// Staff steps above C0.
    pub(crate) rung: i32,
    /// Semitones.
    pub(crate) key: i32,
    /// Its number in the subject; 0 for what is not of the subject.
    pub(crate) number: u32,
}

impl Tick {
    pub(crate) fn of(pitch: Pitch, on: i64, off: i64, number: u32) -> Tick {
        Tick { on, off, rung: pitch.tone.rung(), key: pitch.key_number(), number }
    }

    /// The largest value that it holds, its dot left out.
    pub(crate) fn value(self) -> i64 {
        let values = Value::ALL.into_iter().map(|value| ticks(value.plain()));
        values.into_iter().find(|value| *value <= self.off - self.on).unwrap_or(self.off - self.on)
    }
}

/// The notes of a voice, in order of time.
pub(crate) type Line = Vec<Tick>;

/// The leader.
pub(crate) fn leader(subject: &Subject) -> Line {
    let notes = subject.notes().iter();
    notes.map(|n| Tick::of(n.pitch, ticks(n.at), ticks(n.end()), n.number)).collect()
}

/// A follower that sings these pitches, so much later.
pub(crate) fn follower(subject: &Subject, pitches: &[Pitch], delay: Time) -> Line {
    let notes = subject.notes().iter().zip(pitches);
    let delay = ticks(delay);
    notes
        .map(|(n, pitch)| Tick::of(*pitch, ticks(n.at) + delay, ticks(n.end()) + delay, n.number))
        .collect()
}

/// By what moments are ranked.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tactus {
    upbeat: i64,
    perfect: bool,
    major: bool,
}

impl Tactus {
    pub(crate) fn of(subject: &Subject) -> Tactus {
        let is_perfect = |value| subject.mensuration().is_perfect(value);
        Tactus {
            upbeat: ticks(subject.upbeat()),
            perfect: is_perfect(Value::Breve),
            major: is_perfect(Value::Semibreve),
        }
    }

    /// How many ticks the longest value has that a moment is a multiple of; the more, the stronger.
    pub(crate) fn weight(self, at: i64) -> i64 {
        let semibreve = if self.major { 3 * MINIM } else { 2 * MINIM };
        match Rank::of(at + self.upbeat, MINIM, self.perfect, self.major) {
            Rank::Breve => semibreve * if self.perfect { 3 } else { 2 },
            Rank::Semibreve => semibreve,
            Rank::Minim => MINIM,
            Rank::Semiminim => MINIM / 2,
            Rank::Fusa => MINIM / 4,
            Rank::Less => 0,
        }
    }
}
