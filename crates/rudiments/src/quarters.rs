//! Lengths as modern notation counts them.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Sub};

use num_rational::Ratio;

use crate::Time;

/// A length in quarter notes, as an exact fraction: the unit of MusicXML and of MIDI.
///
/// How many of them a minim has depends on how values are reduced.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Quarters(Ratio<i64>);

impl Quarters {
    /// No length at all.
    pub const ZERO: Quarters = Quarters::whole(0);

    /// So many quarter notes.
    pub const fn whole(count: i64) -> Quarters {
        Quarters(Ratio::new_raw(count, 1))
    }

    /// `numerator / denominator` quarter notes.
    ///
    /// # Panics
    /// If the denominator is zero.
    pub fn new(numerator: i64, denominator: i64) -> Quarters {
        Quarters(Ratio::new(numerator, denominator))
    }

    /// A length where a minim has so many quarters.
    pub fn of(length: Time, minim: Quarters) -> Quarters {
        Quarters(Ratio::new(length.numerator(), length.denominator()) * minim.0)
    }

    /// This length in minims, where a minim has so many quarters.
    ///
    /// # Panics
    /// If a minim has none.
    pub fn minims(self, minim: Quarters) -> Time {
        let minims = self.0 / minim.0;
        Time::new(*minims.numer(), *minims.denom())
    }

    /// The numerator of the reduced fraction.
    pub fn numerator(self) -> i64 {
        *self.0.numer()
    }

    /// The denominator of the reduced fraction, always positive.
    pub fn denominator(self) -> i64 {
        *self.0.denom()
    }
}

impl Add for Quarters {
    type Output = Quarters;
    fn add(self, other: Quarters) -> Quarters {
        Quarters(self.0 + other.0)
    }
}

impl AddAssign for Quarters {
    fn add_assign(&mut self, other: Quarters) {
        *self = *self + other;
    }
}

impl Sub for Quarters {
    type Output = Quarters;
    fn sub(self, other: Quarters) -> Quarters {
        Quarters(self.0 - other.0)
    }
}

impl Mul<i64> for Quarters {
    type Output = Quarters;
    fn mul(self, by: i64) -> Quarters {
        Quarters(self.0 * by)
    }
}

impl Div<i64> for Quarters {
    type Output = Quarters;
    fn div(self, by: i64) -> Quarters {
        Quarters(self.0 / by)
    }
}

impl Sum for Quarters {
    fn sum<I: Iterator<Item = Quarters>>(lengths: I) -> Quarters {
        lengths.fold(Quarters::ZERO, Add::add)
    }
}

impl fmt::Debug for Quarters {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dotted_semibreve_in_halved_values_is_a_dotted_half() {
        let halved = Quarters::whole(1);
        assert_eq!(Quarters::of(Time::minims(3), halved), Quarters::whole(3));
        assert_eq!(Quarters::whole(3).minims(halved), Time::minims(3));
    }

    #[test]
    fn a_minim_may_be_an_eighth() {
        let quartered = Quarters::new(1, 2);
        assert_eq!(Quarters::of(Time::minims(3), quartered), Quarters::new(3, 2));
        assert_eq!(Quarters::whole(1).minims(quartered), Time::minims(2));
    }
}
