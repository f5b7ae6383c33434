//! Clefs, and places on the five-line staff.

use std::fmt;

use crate::{Step, Tone};

/// A place on the staff: 1 is the space below the bottom line, 2 the bottom line, 10 the top
/// line, 11 the space above it; 0 and less, 12 and more go on outside.
pub type Place = i32;

/// Which letter a clef fixes.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum ClefShape {
    /// G4, the G above middle C.
    G,
    /// C4, middle C.
    C,
    /// F3, the F below middle C.
    F,
}

impl ClefShape {
    /// All of them.
    pub const ALL: [ClefShape; 3] = [ClefShape::G, ClefShape::C, ClefShape::F];

    /// Its capital letter.
    pub fn letter(self) -> char {
        match self {
            ClefShape::G => 'G',
            ClefShape::C => 'C',
            ClefShape::F => 'F',
        }
    }

    /// The shape of that capital letter.
    pub fn from_letter(letter: char) -> Option<ClefShape> {
        ClefShape::ALL.into_iter().find(|shape| shape.letter() == letter)
    }

    /// The tone of the line on which the clef stands. The three claves signatae lie a fifth
    /// apart: F, c, g (common practice; Ornithoparchus, *Musicae activae micrologus*, 1517,
    /// book 1, names them; from memory).
    fn tone(self) -> Tone {
        match self {
            ClefShape::G => Tone::new(Step::G, 4),
            ClefShape::C => Tone::new(Step::C, 4),
            ClefShape::F => Tone::new(Step::F, 3),
        }
    }
}

/// A clef: its letter and the line on which it stands, from the bottom.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Clef {
    /// The letter it fixes.
    pub shape: ClefShape,
    /// The line, 1 to 5.
    pub line: u8,
}

impl Clef {
    /// The clef of that shape on that line; nothing where the staff has no such line.
    pub fn new(shape: ClefShape, line: u8) -> Option<Clef> {
        (1..=5).contains(&line).then_some(Clef { shape, line })
    }

    /// As it is typed: `C4`, `G2`; capital or small.
    pub fn parse(text: &str) -> Option<Clef> {
        let mut characters = text.chars();
        let shape = ClefShape::from_letter(characters.next()?.to_ascii_uppercase())?;
        let line = characters.next()?.to_digit(10)?;
        if characters.next().is_some() { None } else { Clef::new(shape, line as u8) }
    }

    /// The tone at a place of the staff.
    pub fn tone_at(self, place: Place) -> Tone {
        self.shape.tone().up(place - 2 * self.line as Place)
    }

    /// The place of a tone.
    pub fn place_of(self, tone: Tone) -> Place {
        tone.steps_above(self.shape.tone()) + 2 * self.line as Place
    }

    /// The two tones of a step that the staff may hold, from the space below to the space above;
    /// three of the seven letters have one place only.
    pub fn on_staff(self, step: Step) -> (Tone, Option<Tone>) {
        let lowest = self.tone_at(1);
        let above = (step as i32 - lowest.step as i32).rem_euclid(7);
        let low = lowest.up(above);
        (low, (above + 7 <= 10).then(|| low.up(7)))
    }
}

impl fmt::Display for Clef {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.shape.letter(), self.line)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The bottom line of the staff under each clef in use, as any handbook of notation has it
    /// (common practice).
    #[test]
    fn bottom_lines() {
        for (clef, bottom) in [
            ("G1", "G4"),
            ("G2", "E4"),
            ("C1", "C4"),
            ("C2", "A3"),
            ("C3", "F3"),
            ("C4", "D3"),
            ("C5", "B2"),
            ("F3", "B2"),
            ("F4", "G2"),
            ("F5", "E2"),
        ] {
            let clef = Clef::parse(clef).unwrap();
            assert_eq!(clef.tone_at(2).to_string(), bottom, "{clef}");
            assert_eq!(clef.place_of(clef.tone_at(7)), 7);
        }
    }

    #[test]
    fn four_letters_have_two_places() {
        let clef = Clef::parse("C1").unwrap();
        let twice = Step::ALL.into_iter().filter(|step| clef.on_staff(*step).1.is_some()).count();
        assert_eq!(twice, 4);
        let (low, high) = clef.on_staff(Step::B);
        assert_eq!((low.to_string(), high.unwrap().to_string()), ("B3".into(), "B4".into()));
        assert_eq!(clef.on_staff(Step::G), (Tone::new(Step::G, 4), None));
    }

    #[test]
    fn a_staff_has_five_lines() {
        assert_eq!(Clef::parse("C6"), None);
        assert_eq!(Clef::parse("D3"), None);
        assert_eq!(Clef::parse("C"), None);
        assert_eq!(Clef::parse("c4").unwrap().to_string(), "C4");
    }
}
