//! Which of the large values are perfect: mood, time and prolation.

use std::fmt;

use crate::{Time, Value};

/// Which values hold three of the next smaller one, and which hold two.
///
/// Four values may be perfect: the maxima (greater mood), the longa (lesser mood), the breve
/// (time) and the semibreve (prolation); from the minim down every value holds two (Tinctoris,
/// *Tractatus de regulari valore notarum*, about 1475; Zarlino, *Istitutioni harmoniche*, 1558,
/// part 3; from memory).
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub struct Mensuration {
    /// The perfect ones of maxima, longa, breve and semibreve.
    perfect: [bool; 4],
}

impl Mensuration {
    /// Two of the smaller in one of the larger, throughout.
    pub const IMPERFECT: Mensuration = Mensuration { perfect: [false; 4] };

    /// The same with one value perfect or imperfect; values from the minim down stay as they are.
    #[must_use]
    pub fn with(mut self, value: Value, perfect: bool) -> Mensuration {
        if let Some(place) = self.perfect.get_mut(value as usize) {
            *place = perfect;
        }
        self
    }

    /// Whether a value holds three of the next smaller one.
    pub fn is_perfect(self, value: Value) -> bool {
        self.perfect.get(value as usize).copied().unwrap_or(false)
    }

    /// Whether no value is perfect.
    pub fn is_imperfect(self) -> bool {
        self == Mensuration::IMPERFECT
    }

    /// The perfect values, the smallest first.
    pub fn perfect_values(self) -> impl Iterator<Item = Value> {
        Value::ALL.into_iter().take(4).rev().filter(move |value| self.is_perfect(*value))
    }

    /// The length of a value that nothing makes imperfect, in minims.
    pub fn full(self, value: Value) -> Time {
        if self.is_imperfect() {
            return value.plain();
        }
        let perfections = self.perfect_values().filter(|perfect| *perfect >= value);
        perfections.fold(value.plain(), |length, _| length + length.half())
    }
}

/// `perfect br sb`, or `imperfect`.
impl fmt::Display for Mensuration {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_imperfect() {
            return f.write_str("imperfect");
        }
        f.write_str("perfect")?;
        let larger_first = Value::ALL.into_iter().filter(|value| self.is_perfect(*value));
        larger_first.into_iter().try_for_each(|value| write!(f, " {value}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The four moods of Morley, *Introduction to Practicall Musicke*, 1597, first part (from memory):
    /// how many minims go to the semibreve, the breve and the longa.
    #[test]
    fn minims_of_the_four_moods() {
        for (breve, semibreve, minims) in [
            (true, true, [3, 9, 18]),
            (true, false, [2, 6, 12]),
            (false, true, [3, 6, 12]),
            (false, false, [2, 4, 8]),
        ] {
            let mensuration =
                Mensuration::IMPERFECT.with(Value::Breve, breve).with(Value::Semibreve, semibreve);
            let values = [Value::Semibreve, Value::Breve, Value::Longa];
            assert_eq!(values.map(|value| mensuration.full(value)), minims.map(Time::minims));
            assert_eq!(mensuration.full(Value::Minim), Time::minims(1));
        }
    }

    #[test]
    fn a_minim_is_never_perfect() {
        assert!(Mensuration::IMPERFECT.with(Value::Minim, true).is_imperfect());
    }

    #[test]
    fn it_names_its_perfect_values() {
        let both = Mensuration::IMPERFECT.with(Value::Breve, true).with(Value::Semibreve, true);
        assert_eq!(both.to_string(), "perfect br sb");
        assert_eq!(both.with(Value::Breve, false).to_string(), "perfect sb");
        assert_eq!(Mensuration::IMPERFECT.to_string(), "imperfect");
    }
}
