//! The alphabet of a print: which sorts stand on a staff, and where.

use rudiments::{Accidental, Circle, ClefShape, Place, Sign, Value};

/// What a sort is.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Kind {
    /// A clef; its place is its line.
    Clef(ClefShape),
    /// An accidental, or a sign of the signature.
    Accidental(Accidental),
    /// A note by itself, by its look: what looks like a semiminim may be a blackened minim.
    Note {
        /// The value that it looks like.
        value: Value,
        /// Whether it is blackened, where its value is plainly white.
        black: bool,
    },
    /// A note of a ligature, by the value that its shape gives it.
    Bound(Value),
    /// The direct at the end of a line.
    Direct,
    /// A dot behind a note or a rest.
    Dot,
    /// A rest; only that of a longa tells its spaces, others are 0.
    Rest {
        /// Its value.
        value: Value,
        /// Over how many spaces it goes.
        spaces: u8,
    },
    /// A mensuration or proportion sign.
    Sign(Sign),
    /// The two notes of a ligature around it share an oblique body.
    Oblique,
    /// A bar line.
    BarLine,
    /// A double bar.
    DoubleBar,
    /// A double bar with dots.
    Repeat,
    /// A corona above the sort before it.
    Corona,
    /// A signum above the sort before it.
    Signum,
}

/// A sort on a staff.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Sort {
    /// What it is.
    pub kind: Kind,
    /// Where it stands, if that says anything; always one of [`PLACES`].
    pub place: Option<Place>,
}

/// The lowest and the highest place that is read: two ledger lines on either side, nearly.
pub const PLACES: [Place; 2] = [-2, 14];

/// How many places are told from one another.
pub const PLACE_COUNT: usize = (PLACES[1] - PLACES[0] + 1) as usize;

const fn note(value: Value) -> Kind {
    Kind::Note { value, black: false }
}

const fn blackened(value: Value) -> Kind {
    Kind::Note { value, black: true }
}

const fn rest(value: Value) -> Kind {
    Kind::Rest { value, spaces: 0 }
}

const fn sign(
    circle: Option<Circle>,
    stroke: bool,
    upper: Option<u32>,
    lower: Option<u32>,
) -> Kind {
    Kind::Sign(Sign { circle, dot: false, stroke, upper, lower })
}

impl Kind {
    /// All kinds that are read, in the order of the outputs of the network: first those with a place.
    pub const ALL: [Kind; 42] = [
        Kind::Clef(ClefShape::G),
        Kind::Clef(ClefShape::C),
        Kind::Clef(ClefShape::F),
        Kind::Accidental(Accidental::Flat),
        Kind::Accidental(Accidental::Sharp),
        Kind::Accidental(Accidental::Natural),
        note(Value::Maxima),
        note(Value::Longa),
        note(Value::Breve),
        note(Value::Semibreve),
        note(Value::Minim),
        note(Value::Semiminim),
        note(Value::Fusa),
        note(Value::Semifusa),
        blackened(Value::Longa),
        blackened(Value::Breve),
        blackened(Value::Semibreve),
        Kind::Bound(Value::Longa),
        Kind::Bound(Value::Breve),
        Kind::Bound(Value::Semibreve),
        Kind::Direct,
        Kind::Dot,
        Kind::Rest { value: Value::Longa, spaces: 2 },
        Kind::Rest { value: Value::Longa, spaces: 3 },
        rest(Value::Breve),
        rest(Value::Semibreve),
        rest(Value::Minim),
        rest(Value::Semiminim),
        rest(Value::Fusa),
        rest(Value::Semifusa),
        sign(Some(Circle::Half), false, None, None),
        sign(Some(Circle::Half), true, None, None),
        sign(Some(Circle::Full), false, None, None),
        sign(Some(Circle::Full), true, None, None),
        sign(None, false, Some(3), None),
        sign(None, false, Some(3), Some(2)),
        Kind::Oblique,
        Kind::BarLine,
        Kind::DoubleBar,
        Kind::Repeat,
        Kind::Corona,
        Kind::Signum,
    ];

    /// How many of [`Kind::ALL`] have a place.
    pub const PLACED: usize = 21;

    /// Its place in [`Kind::ALL`]; nothing where it is no sort that is read.
    pub fn number(self) -> Option<usize> {
        Kind::ALL.iter().position(|kind| *kind == self)
    }

    /// Whether its place says anything.
    pub fn is_placed(self) -> bool {
        self.number().is_some_and(|number| number < Kind::PLACED)
    }
}

impl Sort {
    /// How many different sorts there are.
    pub const COUNT: usize = Kind::PLACED * PLACE_COUNT + (Kind::ALL.len() - Kind::PLACED);

    /// A sort without a place.
    pub fn of(kind: Kind) -> Sort {
        Sort { kind, place: None }
    }

    /// A sort at a place.
    pub fn at(kind: Kind, place: Place) -> Sort {
        Sort { kind, place: Some(place) }
    }

    /// Its number among all sorts: kind by kind, those with a place from the lowest to the highest;
    /// nothing where it is none that is read.
    pub fn number(self) -> Option<usize> {
        let kind = self.kind.number()?;
        if kind >= Kind::PLACED {
            return Some(Kind::PLACED * PLACE_COUNT + kind - Kind::PLACED);
        }
        let place = self.place.filter(|place| (PLACES[0]..=PLACES[1]).contains(place))?;
        Some(kind * PLACE_COUNT + (place - PLACES[0]) as usize)
    }

    /// The sort of that number.
    pub fn numbered(number: usize) -> Option<Sort> {
        let placed = Kind::PLACED * PLACE_COUNT;
        if number < placed {
            let place = PLACES[0] + (number % PLACE_COUNT) as Place;
            return Some(Sort::at(Kind::ALL[number / PLACE_COUNT], place));
        }
        Kind::ALL.get(Kind::PLACED + number - placed).map(|kind| Sort::of(*kind))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_number_has_its_sort() {
        for number in 0..Sort::COUNT {
            assert_eq!(Sort::numbered(number).and_then(Sort::number), Some(number));
        }
        assert_eq!(Sort::numbered(Sort::COUNT), None);
        assert_eq!(Kind::ALL.iter().filter(|kind| kind.is_placed()).count(), Kind::PLACED);
        let far = Sort::at(Kind::Direct, PLACES[1] + 1);
        assert_eq!(far.number(), None);
    }
}
