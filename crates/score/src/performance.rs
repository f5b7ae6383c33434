//! A score as it is heard: plain types that whoever plays it fills, and whoever writes sound, MIDI or
//! times reads.
//!
//! A performance is counted in minims, like a score, but as they pass: with the count before the first
//! bar, and with repeats played again. Where time is held, at a corona or a final, the count stops. The
//! [`Clock`] says at which second each moment is.

use rudiments::{Pitch, Time, Value};

/// A steady tempo: so many of a value to the minute.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Tempo {
    value: Value,
    per_minute: u16,
}

impl Tempo {
    /// A minim is a second. So a semibreve is beaten about as slowly as one breathes, as theorists
    /// describe the tactus (common practice).
    pub const USUAL: Tempo = Tempo { value: Value::Minim, per_minute: 60 };

    /// How many minims to the minute a tempo has: from so many to so many.
    pub const MINIMS: [i64; 2] = [10, 480];

    /// So many of a value to the minute; nothing where it is slower or faster than [`Tempo::MINIMS`].
    pub fn new(value: Value, per_minute: u16) -> Option<Tempo> {
        let minims = value.plain() * i64::from(per_minute);
        let [least, most] = Tempo::MINIMS.map(Time::minims);
        (least <= minims && minims <= most).then_some(Tempo { value, per_minute })
    }

    /// The value that is counted.
    pub fn value(self) -> Value {
        self.value
    }

    /// How many of the value there are in a minute.
    pub fn per_minute(self) -> u16 {
        self.per_minute
    }

    /// How many seconds a length takes: the exact fraction, rounded once.
    pub fn seconds(self, length: Time) -> f64 {
        let minute = self.value.plain() * i64::from(self.per_minute);
        let above = i128::from(length.numerator()) * 60 * i128::from(minute.denominator());
        let below = i128::from(length.denominator()) * i128::from(minute.numerator());
        above as f64 / below as f64
    }
}

impl Default for Tempo {
    fn default() -> Tempo {
        Tempo::USUAL
    }
}

/// The count stops at a moment: what ends there is held, and what begins there waits.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Hold {
    /// The moment, in minims of the performance.
    pub at: Time,
    /// How long, in minims.
    pub by: Time,
}

/// At which second each moment of a performance is.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Clock {
    tempo: Tempo,
    /// In order of time, each with the sum of all to it.
    holds: Vec<(Hold, Time)>,
}

impl Clock {
    /// A clock that stops at these moments, each later than the one before.
    pub fn new(tempo: Tempo, holds: impl IntoIterator<Item = Hold>) -> Clock {
        let mut sum = Time::ZERO;
        let mut held = |hold: Hold| {
            sum += hold.by;
            (hold, sum)
        };
        Clock { tempo, holds: holds.into_iter().map(&mut held).collect() }
    }

    /// The tempo.
    pub fn tempo(&self) -> Tempo {
        self.tempo
    }

    /// Where it stops, in order of time.
    pub fn holds(&self) -> impl Iterator<Item = Hold> {
        self.holds.iter().map(|(hold, _)| *hold)
    }

    /// The minims that have passed at a moment, those that were held among them.
    pub fn passed(&self, at: Time) -> Time {
        let stops = self.holds.partition_point(|(hold, _)| hold.at <= at);
        at + stops.checked_sub(1).map_or(Time::ZERO, |last| self.holds[last].1)
    }

    /// The second of a moment: the exact fraction, rounded once. At a moment at which time is held it is
    /// the second at which it goes on.
    pub fn seconds(&self, at: Time) -> f64 {
        self.tempo.seconds(self.passed(at))
    }
}

/// A score as it is played.
#[derive(Clone, PartialEq, Debug)]
pub struct Performance {
    /// Seconds by minims.
    pub clock: Clock,
    /// How each voice of the score sounds, in their order.
    pub voices: Vec<PlayedVoice>,
    /// The strokes that count in, in order of time.
    pub strokes: Vec<Stroke>,
    /// The bars as they come, repeats included.
    pub bars: Vec<PlayedBar>,
    /// The notes of all voices, also of silent ones, in order of their beginning; those that begin
    /// together from the top voice down.
    pub notes: Vec<PlayedNote>,
    /// When all is over, in minims.
    pub end: Time,
}

impl Performance {
    /// How long it is, in seconds: to the end of the last bar, held as it is.
    pub fn seconds(&self) -> f64 {
        self.clock.seconds(self.end)
    }
}

/// How a voice sounds.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct PlayedVoice {
    /// How loud it is, as a factor of the usual amplitude: 1 is usual, 0 silent.
    pub loudness: f64,
    /// Where it is heard, from -1, the left, to 1, the right.
    pub pan: f64,
}

/// A stroke that is counted before the music.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Stroke {
    /// When, in minims.
    pub at: Time,
    /// When, in seconds.
    pub struck: f64,
    /// Whether it is the first of its bar.
    pub strong: bool,
}

/// A bar as it is played.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct PlayedBar {
    /// Its place in [`crate::Score::bars`].
    pub bar: usize,
    /// Its number.
    pub number: u32,
    /// Whether it is played for the first time, 1, or again, 2 and on.
    pub pass: u32,
    /// When it begins, in minims.
    pub start: Time,
    /// When it is over, in minims.
    pub end: Time,
    /// When it begins, in seconds.
    pub starts: f64,
    /// When it is over, in seconds.
    pub ends: f64,
}

/// A note as it is played.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct PlayedNote {
    /// Its voice, as a place in [`crate::Score::voices`], and in [`Performance::voices`].
    pub voice: usize,
    /// Its event, as a place among those of the voice.
    pub event: usize,
    /// Whether it is played for the first time, 1, or again, 2 and on.
    pub pass: u32,
    /// What sounds, transposed as was asked for.
    pub pitch: Pitch,
    /// When it begins, in minims.
    pub start: Time,
    /// When its value is over, in minims.
    pub end: Time,
    /// When it is struck, in seconds: exactly its beginning.
    pub struck: f64,
    /// When it is let go, in seconds: at the end of its value, held as it may be, or a little earlier.
    pub released: f64,
    /// Whether the same voice has just sounded the same pitch, which it has let go to strike it again.
    pub restruck: bool,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tempo_counts_any_value() {
        let seconds = |value, per_minute, length| {
            Tempo::new(value, per_minute).map(|tempo| tempo.seconds(length).to_string())
        };
        let minim = Time::minims(1);
        assert_eq!(seconds(Value::Minim, 60, minim).as_deref(), Some("1"));
        assert_eq!(seconds(Value::Semibreve, 40, minim).as_deref(), Some("0.75"));
        assert_eq!(
            seconds(Value::Semiminim, 120, Time::new(2, 3)).as_deref(),
            Some("0.6666666666666666")
        );
        assert_eq!(seconds(Value::Breve, 15, Time::ZERO).as_deref(), Some("0"));
    }

    #[test]
    fn a_tempo_can_be_beaten() {
        assert_eq!(Tempo::new(Value::Minim, 9), None);
        assert!(Tempo::new(Value::Minim, 10).is_some());
        assert!(Tempo::new(Value::Breve, 120).is_some());
        assert_eq!(Tempo::new(Value::Breve, 121), None);
    }

    #[test]
    fn a_clock_stops_and_goes_on() {
        let hold = |at, by| Hold { at: Time::minims(at), by: Time::minims(by) };
        let clock = Clock::new(Tempo::USUAL, [hold(2, 3), hold(4, 1)]);
        let seconds = (0..6).map(|at| clock.passed(Time::minims(at)).numerator());
        assert_eq!(seconds.collect::<Vec<_>>(), [0, 1, 5, 6, 8, 9]);
        assert_eq!(clock.holds().collect::<Vec<_>>(), [hold(2, 3), hold(4, 1)]);
    }
}
