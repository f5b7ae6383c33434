//! Steps, tones and pitches, and the accidental signs that turn one into the other.

use std::fmt;

/// One of the seven letters.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
#[allow(missing_docs)]
pub enum Step {
    C,
    D,
    E,
    F,
    G,
    A,
    B,
}

impl Step {
    /// The seven steps from C up.
    pub const ALL: [Step; 7] = [Step::C, Step::D, Step::E, Step::F, Step::G, Step::A, Step::B];

    /// The letter, capital.
    pub fn letter(self) -> char {
        match self {
            Step::C => 'C',
            Step::D => 'D',
            Step::E => 'E',
            Step::F => 'F',
            Step::G => 'G',
            Step::A => 'A',
            Step::B => 'B',
        }
    }

    /// The step of a letter, capital or small.
    pub fn from_letter(letter: char) -> Option<Step> {
        Step::ALL.into_iter().find(|step| step.letter() == letter.to_ascii_uppercase())
    }

    /// Semitones above C.
    fn semitones(self) -> i32 {
        [0, 2, 4, 5, 7, 9, 11][self as usize]
    }

    /// Fifths above C, octaves left out.
    fn fifths(self) -> i32 {
        [0, 2, 4, -1, 1, 3, 5][self as usize]
    }
}

impl fmt::Display for Step {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.letter())
    }
}

/// A step in its octave, without regard to alteration: `C4` is middle C, `B3` the step below.
///
/// Octaves are those of scientific pitch notation.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Tone {
    /// The letter.
    pub step: Step,
    /// Scientific octave; it begins at C.
    pub octave: i8,
}

impl Tone {
    /// The step in that octave.
    pub const fn new(step: Step, octave: i8) -> Tone {
        Tone { step, octave }
    }

    /// Steps above C0: neighbours differ by one, octaves by seven.
    pub fn rung(self) -> i32 {
        self.octave as i32 * 7 + self.step as i32
    }

    /// The tone on that rung; the inverse of [`Tone::rung`].
    pub fn on_rung(rung: i32) -> Tone {
        let octave = rung.div_euclid(7);
        Tone::new(Step::ALL[rung.rem_euclid(7) as usize], octave.clamp(-100, 100) as i8)
    }

    /// The tone so many staff steps above, or below if negative.
    #[must_use]
    pub fn up(self, steps: i32) -> Tone {
        Tone::on_rung(self.rung() + steps)
    }

    /// Staff steps from `other` up to this one.
    pub fn steps_above(self, other: Tone) -> i32 {
        self.rung() - other.rung()
    }
}

impl PartialOrd for Tone {
    fn partial_cmp(&self, other: &Tone) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Tone {
    fn cmp(&self, other: &Tone) -> std::cmp::Ordering {
        self.rung().cmp(&other.rung())
    }
}

impl fmt::Display for Tone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.step, self.octave)
    }
}

/// What sounds: a tone and its alteration.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Pitch {
    /// The step in its octave.
    pub tone: Tone,
    /// Semitones that the tone is raised, or lowered if negative; within two.
    pub alteration: i8,
}

impl Pitch {
    /// The tone with that alteration.
    pub const fn new(tone: Tone, alteration: i8) -> Pitch {
        Pitch { tone, alteration }
    }

    /// Semitones above C-1, which is the key number of MIDI 1.0 (middle C, `C4`, is 60).
    pub fn key_number(self) -> i32 {
        (self.tone.octave as i32 + 1) * 12 + self.tone.step.semitones() + self.alteration as i32
    }

    /// Its place on the line of fifths … Bb F C G D …: fifths above C, octaves left out. Pitches of one
    /// name have one place, and pitches of one key places that differ by twelves.
    pub fn fifths(self) -> i32 {
        self.tone.step.fifths() + 7 * self.alteration as i32
    }
}

/// `F#3`, `Bb4`, `C5`; a doubled alteration doubles the sign.
impl fmt::Display for Pitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.alteration < 0 { "b" } else { "#" };
        let signs = sign.repeat(self.alteration.unsigned_abs() as usize);
        write!(f, "{}{signs}{}", self.tone.step, self.tone.octave)
    }
}

/// An accidental sign as printed.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Accidental {
    /// `#`: makes *mi*.
    Sharp,
    /// `b`: makes *fa*.
    Flat,
    /// `n`: the natural, where one is printed.
    Natural,
}

impl Accidental {
    /// The alteration of a step that this sign gives, where the signature alters it by
    /// `signature` semitones.
    ///
    /// The sharp makes *mi*: a natural on a step that the signature flattens, and on B and E,
    /// which are *mi* by nature. The flat makes *fa*: a natural on a step that the signature
    /// sharpens, and on C and F, which are *fa* by nature. (Common practice of the sixteenth
    /// century; it is what solmization teaches of the signs of *b molle* and *b durum*.)
    pub fn alteration(self, step: Step, signature: i8) -> i8 {
        match self {
            Accidental::Natural => 0,
            Accidental::Sharp if signature < 0 || matches!(step, Step::B | Step::E) => 0,
            Accidental::Sharp => 1,
            Accidental::Flat if signature > 0 || matches!(step, Step::C | Step::F) => 0,
            Accidental::Flat => -1,
        }
    }

    /// As it is typed after the letter.
    pub fn letter(self) -> char {
        match self {
            Accidental::Sharp => '#',
            Accidental::Flat => 'b',
            Accidental::Natural => 'n',
        }
    }

    /// The sign that a typed character stands for.
    pub fn from_letter(letter: char) -> Option<Accidental> {
        match letter {
            '#' => Some(Accidental::Sharp),
            'b' => Some(Accidental::Flat),
            'n' => Some(Accidental::Natural),
            _ => None,
        }
    }

    /// The modern sign of an alteration: sharp, flat or natural.
    ///
    /// Alterations beyond one semitone, which no sign of this repertory makes, have none.
    pub fn of_alteration(alteration: i8) -> Option<Accidental> {
        match alteration {
            1 => Some(Accidental::Sharp),
            0 => Some(Accidental::Natural),
            -1 => Some(Accidental::Flat),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// MIDI 1.0 Detailed Specification: key number 60 is middle C; scientific pitch notation
    /// (Young 1939) calls it C4 and the A of 440 Hz A4, which is key number 69.
    #[test]
    fn key_numbers_are_those_of_midi() {
        let key =
            |step, octave, alteration| Pitch::new(Tone::new(step, octave), alteration).key_number();
        for (step, octave, alteration, number) in [
            (Step::C, -1, 0, 0),
            (Step::A, 0, 0, 21),
            (Step::E, 2, 0, 40),
            (Step::B, 3, 0, 59),
            (Step::C, 4, 0, 60),
            (Step::B, 3, 1, 60),
            (Step::F, 4, 1, 66),
            (Step::A, 4, 0, 69),
            (Step::B, 4, -1, 70),
            (Step::C, 8, 0, 108),
            (Step::G, 9, 0, 127),
        ] {
            assert_eq!(key(step, octave, alteration), number, "{step}{octave} {alteration}");
        }
    }

    /// A fifth up the line is a fifth up the keyboard (common practice: the circle of fifths).
    #[test]
    fn the_line_of_fifths_is_that_of_keys() {
        let names = [(Step::E, -1), (Step::B, -1), (Step::F, 0), (Step::C, 0), (Step::G, 0)];
        let line = names.map(|(step, sign)| Pitch::new(Tone::new(step, 4), sign).fifths());
        assert_eq!(line, [-3, -2, -1, 0, 1]);
        for step in Step::ALL {
            for alteration in -2..=2 {
                let pitch = Pitch::new(Tone::new(step, 4), alteration);
                assert_eq!((pitch.key_number() - 7 * pitch.fifths()).rem_euclid(12), 0, "{pitch}");
            }
        }
    }

    #[test]
    fn rungs_and_tones_are_one_to_one() {
        for rung in -20..80 {
            assert_eq!(Tone::on_rung(rung).rung(), rung);
        }
        assert_eq!(Tone::new(Step::B, 3).up(1), Tone::new(Step::C, 4));
    }

    /// Common practice: which alteration a printed sign makes.
    #[test]
    fn a_sharp_makes_mi_and_a_flat_makes_fa() {
        let sharp = |step, signature| Accidental::Sharp.alteration(step, signature);
        let flat = |step, signature| Accidental::Flat.alteration(step, signature);
        assert_eq!(sharp(Step::F, 0), 1);
        assert_eq!(sharp(Step::B, -1), 0);
        assert_eq!(sharp(Step::B, 0), 0);
        assert_eq!(sharp(Step::E, 0), 0);
        assert_eq!(flat(Step::B, 0), -1);
        assert_eq!(flat(Step::F, 1), 0);
        assert_eq!(flat(Step::F, 0), 0);
        assert_eq!(flat(Step::C, 0), 0);
        assert_eq!(Accidental::Natural.alteration(Step::B, -1), 0);
    }
}
