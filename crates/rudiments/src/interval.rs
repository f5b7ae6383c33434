//! Intervals by which a piece is transposed, or one voice follows another.

use crate::{Pitch, Signature, Step, Tone};

/// Up or down.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
#[allow(missing_docs)]
pub enum Direction {
    Up,
    Down,
}

/// The number of an interval in words, with its article: `a tenth`; from 2 on. Beyond the fifteenth it is
/// counted in figures.
///
/// ```
/// assert_eq!(rudiments::interval_in_words(10), "a tenth");
/// assert_eq!(rudiments::interval_in_words(17), "17 steps");
/// ```
pub fn interval_in_words(number: u32) -> String {
    const NAMES: [&str; 14] = [
        "a second",
        "a third",
        "a fourth",
        "a fifth",
        "a sixth",
        "a seventh",
        "an octave",
        "a ninth",
        "a tenth",
        "an eleventh",
        "a twelfth",
        "a thirteenth",
        "a fourteenth",
        "a fifteenth",
    ];
    let named = number.checked_sub(2).and_then(|place| NAMES.get(place as usize));
    named.map_or_else(|| format!("{number} steps"), ToString::to_string)
}

/// A directed interval of exact size.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Interval {
    steps: i32,
    semitones: i32,
}

impl Interval {
    /// The interval of a number (4 is a fourth) in a direction.
    ///
    /// Unisons, fourths, fifths and octaves are perfect. Of the others it is the one that moves a
    /// signature the least, so that a transposed piece has the fewest signs: the major second and
    /// sixth, the minor third and seventh. Nothing for 0 and beyond the double octave.
    pub fn of_number(number: u32, direction: Direction) -> Option<Interval> {
        if !(1..=15).contains(&number) {
            return None;
        }
        let steps = number as i32 - 1;
        let semitones = [0, 2, 3, 5, 7, 9, 10][(steps % 7) as usize] + 12 * (steps / 7);
        Some(match direction {
            Direction::Up => Interval { steps, semitones },
            Direction::Down => Interval { steps: -steps, semitones: -semitones },
        })
    }

    /// Staff steps, up positive.
    pub fn steps(self) -> i32 {
        self.steps
    }

    /// The pitch at this interval from another.
    pub fn from(self, pitch: Pitch) -> Pitch {
        let tone = pitch.tone.up(self.steps);
        let plain = Pitch::new(tone, 0).key_number();
        let alteration = pitch.key_number() + self.semitones - plain;
        Pitch::new(tone, alteration as i8)
    }

    /// The signature of a piece moved by this interval.
    pub fn move_signature(self, signature: Signature) -> Signature {
        Step::ALL.into_iter().fold(Signature::NONE, |moved, step| {
            let pitch = Pitch::new(Tone::new(step, 4), signature.alteration(step));
            let target = self.from(pitch);
            moved.with(target.tone.step, target.alteration)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn down(number: u32) -> Interval {
        Interval::of_number(number, Direction::Down).unwrap()
    }

    /// A fourth and a fifth down, as high clefs ask for (common practice).
    #[test]
    fn a_signature_follows() {
        let moved =
            |number, text| down(number).move_signature(Signature::parse(text).unwrap()).to_string();
        assert_eq!(moved(4, "Bb"), "none");
        assert_eq!(moved(4, "none"), "F#");
        assert_eq!(moved(5, "none"), "Bb");
        assert_eq!(moved(8, "Bb,Eb"), "Bb,Eb");
        assert_eq!(moved(2, "none"), "Bb,Eb");
    }

    #[test]
    fn every_pitch_moves_by_the_same_semitones() {
        for number in 1..=15 {
            let interval = down(number);
            for rung in 14..50 {
                for alteration in -1..=1 {
                    let pitch = Pitch::new(Tone::on_rung(rung), alteration);
                    let moved = interval.from(pitch);
                    assert_eq!(pitch.key_number() - moved.key_number(), -interval.semitones);
                    assert_eq!(pitch.tone.steps_above(moved.tone), number as i32 - 1);
                }
            }
        }
    }

    #[test]
    fn there_is_no_interval_of_zero() {
        assert_eq!(Interval::of_number(0, Direction::Up), None);
        assert_eq!(Interval::of_number(16, Direction::Up), None);
    }
}
