//! What two notes make with one another while they sound.

use crate::texture::Key;

/// The kinds of intervals, as far as counterpoint treats them differently.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Interval {
    /// Unison and octave: perfect consonances.
    Octave,
    /// The fifth: a perfect consonance.
    Fifth,
    /// The minor third: an imperfect consonance, as the next three are.
    MinorThird,
    /// The major third.
    MajorThird,
    /// The minor sixth.
    MinorSixth,
    /// The major sixth.
    MajorSixth,
    /// A fourth that has a lower voice under it, which makes it pass for a consonance.
    UpperFourth,
    /// A diminished fifth or augmented fourth that has a lower voice under it.
    UpperTritone,
    /// A fourth with the lowest voice: a dissonance in practice (Fux, *Gradus ad Parnassum*,
    /// 1725, I, ch. on the fourth; from memory).
    Fourth,
    /// A diminished fifth or augmented fourth with the lowest voice.
    Tritone,
    /// Seconds and sevenths, with their octaves.
    Second,
    /// Anything else: an augmented octave, a diminished fourth, and the like.
    Chromatic,
}

impl Interval {
    /// The interval of two notes, `lowest` being whether one of them is the lowest that sounds.
    pub(crate) fn of(one: Key, other: Key, lowest: bool) -> Interval {
        let (low, high) = if (one.rung, one.semitones) <= (other.rung, other.semitones) {
            (one, other)
        } else {
            (other, one)
        };
        let (steps, semitones) = (high.rung - low.rung, high.semitones - low.semitones);
        let semitones = semitones - steps / 7 * 12;
        let of_steps = &INTERVALS[usize::from(lowest)][(steps % 7) as usize];
        let known = usize::try_from(semitones).ok().and_then(|semitones| of_steps.get(semitones));
        known.copied().unwrap_or(Interval::Chromatic)
    }

    /// The interval of so many steps and semitones within an octave.
    const fn within_an_octave(steps: usize, semitones: usize, lowest: bool) -> Interval {
        match (steps, semitones, lowest) {
            (0, 0, _) => Interval::Octave,
            (4, 7, _) => Interval::Fifth,
            (2, 3, _) => Interval::MinorThird,
            (2, 4, _) => Interval::MajorThird,
            (5, 8, _) => Interval::MinorSixth,
            (5, 9, _) => Interval::MajorSixth,
            (3, 5, false) => Interval::UpperFourth,
            (3 | 4, 6, false) => Interval::UpperTritone,
            (3, 5, true) => Interval::Fourth,
            (3 | 4, 6, true) => Interval::Tritone,
            (1, 1 | 2, _) | (6, 10 | 11, _) => Interval::Second,
            _ => Interval::Chromatic,
        }
    }

    /// The number of a dissonance, from 0; nothing for a consonance.
    pub(crate) fn dissonance(self) -> Option<usize> {
        match self {
            Interval::Fourth => Some(0),
            Interval::Tritone => Some(1),
            Interval::Second => Some(2),
            Interval::Chromatic => Some(3),
            _ => None,
        }
    }

    /// The number of a consonance, or of what passes for one, from 0.
    pub(crate) fn consonance(self) -> usize {
        self as usize
    }
}

/// All intervals within an octave: for two upper voices and with the lowest, by steps and semitones.
/// What two notes make with one another is asked more often than anything else.
static INTERVALS: [[[Interval; 12]; 7]; 2] = {
    let mut intervals = [[[Interval::Chromatic; 12]; 7]; 2];
    let mut number = 0;
    while number < 2 * 7 * 12 {
        let (lowest, steps, semitones) = (number / 84, number / 12 % 7, number % 12);
        intervals[lowest][steps][semitones] =
            Interval::within_an_octave(steps, semitones, lowest == 1);
        number += 1;
    }
    intervals
};

/// The number of intervals that are consonant or pass for it.
pub(crate) const CONSONANCES: usize = 8;

/// The number of dissonant intervals.
pub(crate) const DISSONANCES: usize = 4;

#[cfg(test)]
mod tests {
    use super::*;
    use rudiments::{Pitch, Step, Tone};

    fn key(step: Step, octave: i8, alteration: i8) -> Key {
        let pitch = Pitch::new(Tone::new(step, octave), alteration);
        Key::of(pitch, rudiments::Signature::NONE)
    }

    #[test]
    fn a_fourth_is_dissonant_with_the_lowest_voice_alone() {
        let (c, f) = (key(Step::C, 4, 0), key(Step::F, 4, 0));
        assert_eq!(Interval::of(c, f, true), Interval::Fourth);
        assert_eq!(Interval::of(f, c, false), Interval::UpperFourth);
    }

    #[test]
    fn a_fourth_within_a_compass_of_alterations() {
        let (b, f) = (key(Step::B, 3, 0), key(Step::F, 4, 0));
        assert_eq!(Interval::of(b, f, true), Interval::Tritone);
        assert_eq!(Interval::of(b, key(Step::F, 4, 1), true), Interval::Fifth);
        assert_eq!(Interval::of(key(Step::C, 4, 0), key(Step::C, 5, 1), true), Interval::Chromatic);
        assert_eq!(
            Interval::of(key(Step::C, 4, 0), key(Step::E, 6, 0), true),
            Interval::MajorThird
        );
    }
}
