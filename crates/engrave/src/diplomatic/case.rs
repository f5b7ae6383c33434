//! What a copy is set with, and under which clefs.

use rudiments::{Clef, ClefShape, Place, Tone};

use super::TypeStyle;
use crate::glyphs::Signs;
use crate::lettering::Letterer;

/// The type case: everything that lines are set from.
pub(super) struct Case<'c> {
    pub(super) style: &'c TypeStyle,
    pub(super) signs: &'c Signs,
    pub(super) letterer: &'c Letterer,
}

/// Under which clef a voice is shown.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Shown {
    /// Those that are printed.
    Printed,
    /// A modern one, throughout; so many octaves higher than it says.
    Modern(Clef, i8),
}

const TREBLE: Clef = Clef { shape: ClefShape::G, line: 2 };
const BASS: Clef = Clef { shape: ClefShape::F, line: 4 };

/// The places of the staff from its lowest line to its highest.
const STAFF: std::ops::RangeInclusive<Place> = 2..=10;

impl Shown {
    /// The modern clef under which these tones are least far from the staff in all: treble, octave treble or
    /// bass; of two as good ones the first.
    pub(super) fn modern(tones: &(impl Iterator<Item = Tone> + Clone)) -> Shown {
        let far = |shown: Shown| -> i64 {
            let distance = |tone: Tone| {
                let place = shown.place(TREBLE, tone);
                i64::from((STAFF.start() - place).max(place - STAFF.end()).max(0))
            };
            tones.clone().map(distance).sum()
        };
        let clefs =
            [(TREBLE, 0), (TREBLE, -1), (BASS, 0)].map(|(clef, up)| Shown::Modern(clef, up));
        clefs.into_iter().min_by_key(|shown| far(*shown)).unwrap_or(Shown::Modern(TREBLE, 0))
    }

    /// The clef that stands for a printed one, and the octaves that it sounds higher.
    pub(super) fn clef(self, printed: Clef) -> (Clef, i8) {
        match self {
            Shown::Printed => (printed, 0),
            Shown::Modern(clef, octave) => (clef, octave),
        }
    }

    /// Where a tone stands that is printed under a clef.
    pub(super) fn place(self, printed: Clef, tone: Tone) -> Place {
        let (clef, octave) = self.clef(printed);
        clef.place_of(tone) - 7 * Place::from(octave)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ranges of the voices of the time (common practice): soprano, alto, tenor and bass.
    #[test]
    fn modern_clefs_are_those_that_choirs_read() {
        let chosen = |clef: &str| {
            let clef = Clef::parse(clef).unwrap();
            let tones: Vec<Tone> = (1..=11).map(|place| clef.tone_at(place)).collect();
            let (clef, octave) = Shown::modern(&tones.iter().copied()).clef(clef);
            format!("{clef}{}", if octave < 0 { " octave" } else { "" })
        };
        assert_eq!(["G2", "C1", "C4", "F4"].map(chosen), ["G2", "G2", "G2 octave", "F4"]);
    }
}
