//! How ligatures of white notation look: which body each note has, and which tail.
//!
//! The rules are those of Willi Apel, *The Notation of Polyphonic Music* (fifth edition, 1953), in the
//! chapter on ligatures of white notation (from memory):
//!
//! - An upward tail at the left of the first note makes it and the second semibreves.
//! - Otherwise a first note without a tail is a longa if the second is lower, a breve if it is higher. A
//!   downward tail at its left makes a descending one a breve.
//! - A last note is a longa if it is square and lower than the one before, a breve if it is higher, or ends
//!   an oblique body.
//! - Notes in between are breves.
//! - A downward tail at the right of a square body makes a longa wherever it stands.
//! - A body of double width is a maxima wherever it stands.

use std::fmt;

use crate::{Place, Value};

/// A note of a ligature, as it is counted.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct LigatureNote {
    /// Its value.
    pub value: Value,
    /// Its place on the staff, or any number that is higher for a higher note.
    pub place: Place,
    /// Whether it is said to share an oblique body with the note after it.
    pub oblique: bool,
}

/// The body of a note of a ligature.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Body {
    /// A square.
    Square,
    /// One of double width.
    Wide,
    /// The left half of an oblique body.
    ObliqueBegins,
    /// Its right half.
    ObliqueEnds,
}

/// The tail of a note of a ligature.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Tail {
    /// Upwards, at the left side.
    LeftUp,
    /// Downwards, at the left side.
    LeftDown,
    /// Downwards, at the right side.
    RightDown,
}

/// How a note of a ligature looks.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct LigatureShape {
    /// Its body.
    pub body: Body,
    /// Its tail.
    pub tail: Option<Tail>,
}

/// Why notes cannot be a ligature.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum NoLigature {
    /// There is only one.
    Single,
    /// This one, from 0, is smaller than a semibreve.
    TooShort(usize),
    /// This one is a semibreve, and not one of two at the beginning.
    LoneSemibreve(usize),
    /// This one stands where the one before it does.
    Unison(usize),
    /// This one ends an oblique body, and is no breve, nor the second of two semibreves.
    ObliqueEnd(usize),
    /// This one begins an oblique body, and cannot.
    ObliqueBegin(usize),
    /// This one would be in two oblique bodies.
    TwoBodies(usize),
}

impl NoLigature {
    /// Which note is to blame, from 0.
    pub fn note(self) -> usize {
        match self {
            NoLigature::Single => 0,
            NoLigature::TooShort(note)
            | NoLigature::LoneSemibreve(note)
            | NoLigature::Unison(note)
            | NoLigature::ObliqueEnd(note)
            | NoLigature::ObliqueBegin(note)
            | NoLigature::TwoBodies(note) => note,
        }
    }
}

impl fmt::Display for NoLigature {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            NoLigature::Single => "a ligature has two notes or more",
            NoLigature::TooShort(_) => "no note of a ligature is smaller than a semibreve",
            NoLigature::LoneSemibreve(_) => {
                "semibreves stand in a ligature only as a pair, its first two notes"
            }
            NoLigature::Unison(_) => "neighbours in a ligature are not at the same place",
            NoLigature::ObliqueEnd(_) => {
                "an oblique body ends with a breve, or with the second of two semibreves"
            }
            NoLigature::ObliqueBegin(_) => {
                "an oblique body begins with a breve, with the first of two semibreves, or with a \
                 longa that falls as the first note"
            }
            NoLigature::TwoBodies(_) => "an oblique body holds two notes",
        })
    }
}

/// How the notes of a ligature look, one shape for each.
///
/// A last breve that descends has no other body than the end of an oblique one, so it has that whether or not
/// it is said; every other oblique body must be said.
///
/// # Errors
/// Which note has no shape, and why.
pub fn ligature(notes: &[LigatureNote]) -> Result<Vec<LigatureShape>, NoLigature> {
    if notes.len() < 2 {
        return Err(NoLigature::Single);
    }
    let last = notes.len() - 1;
    let pair = notes[0].value == Value::Semibreve && notes[1].value == Value::Semibreve;
    let begins_oblique = |note: usize| {
        let falls = note < last && notes[note + 1].place < notes[note].place;
        let ends = note + 1 == last && notes[last].value == Value::Breve && falls;
        // A pair of semibreves has its values by its tail, whatever its bodies.
        notes[note].oblique || ends
    };
    let mut shapes = Vec::with_capacity(notes.len());
    for (number, note) in notes.iter().enumerate() {
        let before = number.checked_sub(1).map(|before| notes[before]);
        if note.value > Value::Semibreve {
            return Err(NoLigature::TooShort(number));
        }
        if note.value == Value::Semibreve && !(pair && number < 2) {
            return Err(NoLigature::LoneSemibreve(number));
        }
        if before.is_some_and(|before| before.place == note.place) {
            return Err(NoLigature::Unison(number));
        }
        let ends = number > 0 && begins_oblique(number - 1);
        let begins = number < last && begins_oblique(number);
        if ends && begins {
            return Err(NoLigature::TwoBodies(number));
        }
        if ends && note.value < Value::Breve {
            return Err(NoLigature::ObliqueEnd(number));
        }
        if begins && note.value == Value::Maxima {
            return Err(NoLigature::ObliqueBegin(number));
        }
        let body = match (begins, ends) {
            (true, _) => Body::ObliqueBegins,
            (_, true) => Body::ObliqueEnds,
            _ if note.value == Value::Maxima => Body::Wide,
            _ => Body::Square,
        };
        let falls = |from: usize| notes[from + 1].place < notes[from].place;
        // A longa that falls to the second note, or falls from the last but one, has no tail.
        let plain_longa = (number == 0 && falls(0)) || (number == last && falls(number - 1));
        let tail = match note.value {
            Value::Semibreve if number == 0 => Some(Tail::LeftUp),
            Value::Breve if number == 0 && falls(0) => Some(Tail::LeftDown),
            Value::Longa if !plain_longa && begins => return Err(NoLigature::ObliqueBegin(number)),
            Value::Longa if !plain_longa => Some(Tail::RightDown),
            _ => None,
        };
        shapes.push(LigatureShape { body, tail });
    }
    Ok(shapes)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Notes as `L0 \ B-1`: the values M, L, B, S with their places.
    fn shapes(text: &str) -> Result<String, NoLigature> {
        let mut notes: Vec<LigatureNote> = Vec::new();
        for word in text.split(' ') {
            if word == "\\" {
                notes.last_mut().unwrap().oblique = true;
                continue;
            }
            let value = match &word[..1] {
                "M" => Value::Maxima,
                "L" => Value::Longa,
                "B" => Value::Breve,
                "S" => Value::Semibreve,
                _ => Value::Minim,
            };
            notes.push(LigatureNote { value, place: word[1..].parse().unwrap(), oblique: false });
        }
        let shape = |shape: &LigatureShape| {
            let body = match shape.body {
                Body::Square => "square",
                Body::Wide => "wide",
                Body::ObliqueBegins => "oblique",
                Body::ObliqueEnds => "end",
            };
            let tail = match shape.tail {
                Some(Tail::LeftUp) => "'",
                Some(Tail::LeftDown) => ",",
                Some(Tail::RightDown) => ";",
                None => "",
            };
            format!("{body}{tail}")
        };
        Ok(ligature(&notes)?.iter().map(shape).collect::<Vec<_>>().join(" "))
    }

    /// The table of ligatures of two notes in Apel's chapter (from memory).
    #[test]
    fn two_notes() {
        for (notes, wanted) in [
            ("B0 B1", "square square"),
            ("B0 L1", "square square;"),
            ("L0 B1", "square; square"),
            ("L0 L1", "square; square;"),
            ("B1 B0", "oblique, end"),
            ("B1 L0", "square, square"),
            ("L1 B0", "oblique end"),
            ("L1 L0", "square square"),
            ("S0 S1", "square' square"),
            ("S1 S0", "square' square"),
            ("S1 \\ S0", "oblique' end"),
        ] {
            assert_eq!(shapes(notes).as_deref(), Ok(wanted), "{notes}");
        }
    }

    #[test]
    fn notes_in_between_are_breves() {
        assert_eq!(shapes("B0 B1 B2").as_deref(), Ok("square square square"));
        assert_eq!(shapes("L3 B2 B1 L0").as_deref(), Ok("square square square square"));
        assert_eq!(shapes("S0 S1 B2 B1").as_deref(), Ok("square' square oblique end"));
        assert_eq!(shapes("S1 \\ S0 L2").as_deref(), Ok("oblique' end square;"));
        assert_eq!(shapes("B0 L2 B3").as_deref(), Ok("square square; square"));
        assert_eq!(shapes("B2 \\ B1 L3").as_deref(), Ok("oblique, end square;"));
    }

    #[test]
    fn a_maxima_is_wide() {
        assert_eq!(shapes("M0 B1").as_deref(), Ok("wide square"));
        assert_eq!(shapes("B2 M1").as_deref(), Ok("square, wide"));
    }

    #[test]
    fn what_cannot_be() {
        for (notes, wanted) in [
            ("B0", NoLigature::Single),
            ("B0 m1", NoLigature::TooShort(1)),
            ("B0 S1", NoLigature::LoneSemibreve(1)),
            ("S0 B1", NoLigature::LoneSemibreve(0)),
            ("S0 S1 S2", NoLigature::LoneSemibreve(2)),
            ("B0 B0", NoLigature::Unison(1)),
            ("B2 \\ L1", NoLigature::ObliqueEnd(1)),
            ("M2 \\ B1", NoLigature::ObliqueBegin(0)),
            ("L0 \\ B1", NoLigature::ObliqueBegin(0)),
            ("B3 \\ B2 \\ B1", NoLigature::TwoBodies(1)),
        ] {
            assert_eq!(shapes(notes), Err(wanted), "{notes}");
        }
    }
}
