//! What two notes make with one another while they sound.
//!
//! Zarlino, *Istitutioni harmoniche*, 1558, III, names the consonances and their kinds; that the
//! fourth is treated as a dissonance against the lowest voice: Fux, *Gradus ad Parnassum*, 1725, I.
//! Both from memory.

use crate::kinds::named;
use crate::texture::Height;

/// Two notes that sound together, octaves left out.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Dyad {
    /// They are consonant, or pass for it.
    Concord(Concord),
    /// They are dissonant.
    Discord(Discord),
}

named! {
    /// The intervals that are consonant or pass for it.
    pub enum Concord {
        /// Unison and octave: perfect consonances.
        Octave = "octave",
        /// The fifth: a perfect consonance.
        Fifth = "fifth",
        /// The minor third: an imperfect consonance, as the next three are.
        MinorThird = "minor third",
        /// The major third.
        MajorThird = "major third",
        /// The minor sixth.
        MinorSixth = "minor sixth",
        /// The major sixth.
        MajorSixth = "major sixth",
        /// A fourth that has a lower voice under it, which makes it pass for a consonance.
        UpperFourth = "fourth over a lower voice",
        /// A diminished fifth or augmented fourth that has a lower voice under it.
        UpperTritone = "tritone over a lower voice",
    }
}

named! {
    /// The dissonant intervals.
    pub enum Discord {
        /// A fourth with the lowest voice.
        Fourth = "fourth",
        /// A diminished fifth or augmented fourth with the lowest voice.
        Tritone = "tritone",
        /// Seconds and sevenths, with their octaves.
        Second = "second or seventh",
        /// Anything else: an augmented octave, a diminished fourth, and the like.
        Chromatic = "chromatic interval",
    }
}

impl Dyad {
    /// Whether it is dissonant.
    pub fn is_discord(self) -> bool {
        matches!(self, Dyad::Discord(_))
    }

    /// What two notes make, `lowest` being whether one of them is the lowest that sounds.
    pub(crate) fn of(one: Height, other: Height, lowest: bool) -> Dyad {
        let (low, high) = if (one.rung, one.semitones) <= (other.rung, other.semitones) {
            (one, other)
        } else {
            (other, one)
        };
        let (steps, semitones) = (high.rung - low.rung, high.semitones - low.semitones);
        let semitones = semitones - steps / 7 * 12;
        let of_steps = &DYADS[usize::from(lowest)][(steps % 7) as usize];
        let known = usize::try_from(semitones).ok().and_then(|semitones| of_steps.get(semitones));
        known.copied().unwrap_or(Dyad::Discord(Discord::Chromatic))
    }

    /// What so many steps and semitones within an octave make.
    const fn within_an_octave(steps: usize, semitones: usize, lowest: bool) -> Dyad {
        match (steps, semitones, lowest) {
            (0, 0, _) => Dyad::Concord(Concord::Octave),
            (4, 7, _) => Dyad::Concord(Concord::Fifth),
            (2, 3, _) => Dyad::Concord(Concord::MinorThird),
            (2, 4, _) => Dyad::Concord(Concord::MajorThird),
            (5, 8, _) => Dyad::Concord(Concord::MinorSixth),
            (5, 9, _) => Dyad::Concord(Concord::MajorSixth),
            (3, 5, false) => Dyad::Concord(Concord::UpperFourth),
            (3 | 4, 6, false) => Dyad::Concord(Concord::UpperTritone),
            (3, 5, true) => Dyad::Discord(Discord::Fourth),
            (3 | 4, 6, true) => Dyad::Discord(Discord::Tritone),
            (1, 1 | 2, _) | (6, 10 | 11, _) => Dyad::Discord(Discord::Second),
            _ => Dyad::Discord(Discord::Chromatic),
        }
    }
}

/// All dyads within an octave: of two upper voices and with the lowest, by steps and semitones.
/// What two notes make with one another is asked more often than anything else.
static DYADS: [[[Dyad; 12]; 7]; 2] = {
    let mut dyads = [[[Dyad::Discord(Discord::Chromatic); 12]; 7]; 2];
    let mut number = 0;
    while number < 2 * 7 * 12 {
        let (lowest, steps, semitones) = (number / 84, number / 12 % 7, number % 12);
        dyads[lowest][steps][semitones] = Dyad::within_an_octave(steps, semitones, lowest == 1);
        number += 1;
    }
    dyads
};

#[cfg(test)]
mod tests {
    use super::*;
    use rudiments::{Pitch, Signature, Step, Tone};

    fn height(step: Step, octave: i8, alteration: i8) -> Height {
        Height::of(Pitch::new(Tone::new(step, octave), alteration), Signature::NONE)
    }

    #[test]
    fn a_fourth_is_dissonant_with_the_lowest_voice_alone() {
        let (c, f) = (height(Step::C, 4, 0), height(Step::F, 4, 0));
        assert_eq!(Dyad::of(c, f, true), Dyad::Discord(Discord::Fourth));
        assert_eq!(Dyad::of(f, c, false), Dyad::Concord(Concord::UpperFourth));
    }

    #[test]
    fn a_fourth_within_a_compass_of_alterations() {
        let (b, f) = (height(Step::B, 3, 0), height(Step::F, 4, 0));
        assert_eq!(Dyad::of(b, f, true), Dyad::Discord(Discord::Tritone));
        assert_eq!(Dyad::of(b, height(Step::F, 4, 1), true), Dyad::Concord(Concord::Fifth));
        let c = height(Step::C, 4, 0);
        assert_eq!(Dyad::of(c, height(Step::C, 5, 1), true), Dyad::Discord(Discord::Chromatic));
        assert_eq!(Dyad::of(c, height(Step::E, 6, 0), true), Dyad::Concord(Concord::MajorThird));
    }
}
