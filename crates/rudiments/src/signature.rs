//! Signatures: the steps that are altered throughout.

use std::fmt;

use crate::{Accidental, Step};

/// The alterations of the seven steps, as signed after the clef.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub struct Signature([i8; 7]);

/// The order in which flats are added, which read backwards is that of sharps.
const FLATS: [Step; 7] = [Step::B, Step::E, Step::A, Step::D, Step::G, Step::C, Step::F];

impl Signature {
    /// No signs.
    pub const NONE: Signature = Signature([0; 7]);

    /// The usual signature of so many sharps, or flats if negative; within seven.
    pub fn of_fifths(fifths: i32) -> Signature {
        let mut signature = Signature::NONE;
        let count = fifths.unsigned_abs().min(7) as usize;
        for place in 0..count {
            let step = if fifths < 0 { FLATS[place] } else { FLATS[6 - place] };
            signature.0[step as usize] = if fifths < 0 { -1 } else { 1 };
        }
        signature
    }

    /// The number of sharps, or of flats as a negative number, where this is a usual signature.
    pub fn fifths(self) -> Option<i32> {
        (-7..=7).find(|fifths| Signature::of_fifths(*fifths) == self)
    }

    /// As it is typed: `Bb,Eb`, `F#`, or `none`.
    pub fn parse(text: &str) -> Option<Signature> {
        if text == "none" {
            return Some(Signature::NONE);
        }
        let mut signature = Signature::NONE;
        for sign in text.split(',') {
            let mut characters = sign.chars();
            let step = Step::from_letter(characters.next()?)?;
            let accidental = Accidental::from_letter(characters.next()?)?;
            let alteration = match accidental {
                Accidental::Sharp => 1,
                Accidental::Flat => -1,
                Accidental::Natural => return None,
            };
            let place = &mut signature.0[step as usize];
            if characters.next().is_some() || *place != 0 {
                return None;
            }
            *place = alteration;
        }
        Some(signature)
    }

    /// Semitones by which it alters a step.
    pub fn alteration(self, step: Step) -> i8 {
        self.0[step as usize]
    }

    /// The same signature with one step's alteration set to so many semitones.
    #[must_use]
    pub fn with(mut self, step: Step, alteration: i8) -> Signature {
        self.0[step as usize] = alteration;
        self
    }

    /// The altered steps in the order in which they are signed.
    pub fn signs(self) -> impl Iterator<Item = (Step, i8)> {
        let flats = FLATS.into_iter().filter(move |step| self.alteration(*step) < 0);
        let sharps = FLATS.into_iter().rev().filter(move |step| self.alteration(*step) > 0);
        flats.chain(sharps).map(move |step| (step, self.alteration(step)))
    }
}

impl fmt::Display for Signature {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if *self == Signature::NONE {
            return f.write_str("none");
        }
        for (place, (step, alteration)) in self.signs().enumerate() {
            let comma = if place > 0 { "," } else { "" };
            write!(f, "{comma}{step}{}", if alteration < 0 { 'b' } else { '#' })?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typed_and_written_alike() {
        for text in ["none", "Bb", "Bb,Eb", "F#", "F#,C#", "Eb", "Bb,F#"] {
            assert_eq!(Signature::parse(text).unwrap().to_string(), text);
        }
        assert_eq!(Signature::parse("Eb,Bb").unwrap().to_string(), "Bb,Eb");
    }

    #[test]
    fn what_is_no_signature() {
        for text in ["", "B", "Bn", "Bb,", "Bb,Bb", "Hb", "Bb Eb"] {
            assert_eq!(Signature::parse(text), None, "{text}");
        }
    }

    /// The circle of fifths (common practice).
    #[test]
    fn fifths() {
        assert_eq!(Signature::of_fifths(-2).to_string(), "Bb,Eb");
        assert_eq!(Signature::of_fifths(3).to_string(), "F#,C#,G#");
        for fifths in -7..=7 {
            assert_eq!(Signature::of_fifths(fifths).fifths(), Some(fifths));
        }
        assert_eq!(Signature::parse("Eb").unwrap().fifths(), None);
    }
}
