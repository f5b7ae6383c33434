//! The twelve modes: their finals, and on which steps they usually have cadences.

use std::fmt;

use rudiments::Step;

use super::System;

/// One of the twelve modes.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Mode(u8);

/// The finals of the authentic modes 1, 3, 5, 7, 9, 11 in the durus system; each has a plagal mode
/// too (Glarean, *Dodecachordon*, 1547, II; from memory).
const FINALS: [Step; 6] = [Step::D, Step::E, Step::F, Step::G, Step::A, Step::C];

/// On which steps each mode usually has cadences, in the durus system, the most usual first. For the
/// eight modes as Pontio, *Ragionamento di musica*, 1588, has them, for the others the final, fifth and
/// third of Zarlino, *Istitutioni harmoniche*, 1558, IV; both from memory. Treatises differ.
const USUAL: [&[Step]; 12] = [
    &[Step::D, Step::A, Step::F],
    &[Step::D, Step::F, Step::A],
    &[Step::E, Step::A, Step::C],
    &[Step::E, Step::A, Step::G],
    &[Step::F, Step::C, Step::A],
    &[Step::F, Step::C, Step::A],
    &[Step::G, Step::D, Step::C],
    &[Step::G, Step::C, Step::D],
    &[Step::A, Step::E, Step::C],
    &[Step::A, Step::C, Step::E],
    &[Step::C, Step::G, Step::E],
    &[Step::C, Step::E, Step::G],
];

impl Mode {
    /// The authentic and the plagal mode of a final, if there are any: none on B in the durus system.
    pub fn of_final(last: Step, system: System) -> Option<[Mode; 2]> {
        let last = system.untransposed(last)?;
        let place = FINALS.iter().position(|step| *step == last)? as u8;
        Some([Mode(place * 2 + 1), Mode(place * 2 + 2)])
    }

    /// Its number among the twelve, from 1.
    pub fn number(self) -> u8 {
        self.0
    }

    /// The mode among the eight, which have neither A nor C as a final: A is then the confinal of the
    /// first and second, C of the fifth and sixth (Aron, *Trattato della natura et cognitione di tutti
    /// gli tuoni*, 1525; from memory). So is F with a flat, which is C a fourth up.
    #[must_use]
    pub fn among_eight(self) -> Mode {
        match self.0 {
            9 | 10 => Mode(self.0 - 8),
            11 | 12 => Mode(self.0 - 6),
            _ => self,
        }
    }

    /// Whether it goes from its final up to the octave, rather than from the fourth below.
    pub fn is_authentic(self) -> bool {
        self.0 % 2 == 1
    }

    /// The steps on which it usually has cadences, the most usual first.
    pub fn usual_cadences(self, system: System) -> Vec<Step> {
        USUAL[usize::from(self.0 - 1)].iter().map(|step| system.transposed(*step)).collect()
    }
}

impl fmt::Display for Mode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn numbers(last: Step, system: System) -> Option<[u8; 2]> {
        Mode::of_final(last, system).map(|modes| modes.map(Mode::number))
    }

    /// Glarean, *Dodecachordon*, 1547 (from memory).
    #[test]
    fn finals_of_the_twelve() {
        assert_eq!(numbers(Step::D, System::Durus), Some([1, 2]));
        assert_eq!(numbers(Step::G, System::Durus), Some([7, 8]));
        assert_eq!(numbers(Step::C, System::Durus), Some([11, 12]));
        assert_eq!(numbers(Step::B, System::Durus), None);
    }

    #[test]
    fn with_a_flat_all_is_a_fourth_up() {
        assert_eq!(numbers(Step::G, System::Mollis), Some([1, 2]));
        assert_eq!(numbers(Step::D, System::Mollis), Some([9, 10]));
        let [first, _] = Mode::of_final(Step::G, System::Mollis).unwrap();
        assert_eq!(first.usual_cadences(System::Mollis), [Step::G, Step::D, Step::B]);
    }

    #[test]
    fn the_twelve_among_the_eight() {
        let eight = |last, system| {
            Mode::of_final(last, system).unwrap().map(|mode| mode.among_eight().number())
        };
        assert_eq!(eight(Step::F, System::Mollis), [5, 6]);
        assert_eq!(eight(Step::C, System::Durus), [5, 6]);
        assert_eq!(eight(Step::A, System::Durus), [1, 2]);
        assert_eq!(eight(Step::G, System::Durus), [7, 8]);
        // The usual cadences are the same, a fifth up.
        let [ninth, _] = Mode::of_final(Step::A, System::Durus).unwrap();
        let first = ninth.among_eight().usual_cadences(System::Durus);
        let fifth_up = |step: Step| rudiments::Tone::new(step, 4).up(4).step;
        let moved: Vec<Step> = first.into_iter().map(fifth_up).collect();
        assert_eq!(ninth.usual_cadences(System::Durus), moved);
    }
}
