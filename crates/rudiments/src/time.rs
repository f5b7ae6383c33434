//! Exact musical time, counted in minims.

use std::fmt;
use std::hash::{Hash, Hasher};
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Sub};

use num_rational::Ratio;
use num_traits::{CheckedAdd, CheckedMul};

/// A length or a moment, in minims, as an exact fraction.
///
/// The plain operators are for times that are known to be small; sums over what a person typed
/// go through [`Time::checked_add`] and [`Time::checked_scale`].
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Time(Ratio<i64>);

impl Time {
    /// No time at all; the beginning of a piece.
    pub const ZERO: Time = Time(Ratio::new_raw(0, 1));

    /// So many minims.
    pub const fn minims(count: i64) -> Time {
        Time(Ratio::new_raw(count, 1))
    }

    /// `numerator / denominator` minims.
    ///
    /// # Panics
    /// If the denominator is zero.
    pub fn new(numerator: i64, denominator: i64) -> Time {
        Time(Ratio::new(numerator, denominator))
    }

    /// The numerator of the reduced fraction.
    pub fn numerator(self) -> i64 {
        *self.0.numer()
    }

    /// The denominator of the reduced fraction, always positive.
    pub fn denominator(self) -> i64 {
        *self.0.denom()
    }

    /// Whether this is the very beginning, or no length.
    pub fn is_zero(self) -> bool {
        self.numerator() == 0
    }

    /// Whether it is whole minims. Most times are: they are added without reducing a fraction.
    fn is_whole(self) -> bool {
        self.denominator() == 1
    }

    /// Whether this is more than nothing.
    pub fn is_positive(self) -> bool {
        self.numerator() > 0
    }

    /// The sum, or nothing where it cannot be held exactly.
    pub fn checked_add(self, other: Time) -> Option<Time> {
        if self.is_whole() && other.is_whole() {
            return self.numerator().checked_add(other.numerator()).map(Time::minims);
        }
        self.0.checked_add(&other.0).map(Time)
    }

    /// This length taken in a proportion, or nothing where it cannot be held exactly.
    pub fn checked_scale(self, by: Proportion) -> Option<Time> {
        self.0.checked_mul(&by.factor()).map(Time)
    }

    /// Half of it.
    #[must_use]
    pub fn half(self) -> Time {
        Time(self.0 / 2)
    }

    /// How many whole times `unit` has passed at this moment.
    ///
    /// # Panics
    /// If the unit is zero.
    pub fn whole(self, unit: Time) -> i64 {
        (self.0 / unit.0).floor().to_integer()
    }

    /// What is left of this time after whole units: `0 <= rest < unit`.
    #[must_use]
    pub fn within(self, unit: Time) -> Time {
        self - unit * self.whole(unit)
    }

    /// The first multiple of `unit` that is not before this moment.
    #[must_use]
    pub fn round_up(self, unit: Time) -> Time {
        let whole = unit * self.whole(unit);
        if whole == self { whole } else { whole + unit }
    }

    /// How many of `unit` make up this length; nothing where they do not do so exactly.
    ///
    /// # Panics
    /// If the unit is zero.
    pub fn exactly(self, unit: Time) -> Option<i64> {
        let count = self.0 / unit.0;
        count.is_integer().then(|| count.to_integer())
    }

    /// As a musician counts it: `41 1/2` rather than `83/2`.
    pub fn spoken(self) -> Spoken {
        Spoken(self)
    }
}

impl Add for Time {
    type Output = Time;
    fn add(self, other: Time) -> Time {
        if self.is_whole() && other.is_whole() {
            return Time::minims(self.numerator() + other.numerator());
        }
        Time(self.0 + other.0)
    }
}

impl AddAssign for Time {
    fn add_assign(&mut self, other: Time) {
        *self = *self + other;
    }
}

impl Sub for Time {
    type Output = Time;
    fn sub(self, other: Time) -> Time {
        if self.is_whole() && other.is_whole() {
            return Time::minims(self.numerator() - other.numerator());
        }
        Time(self.0 - other.0)
    }
}

impl Mul<i64> for Time {
    type Output = Time;
    fn mul(self, by: i64) -> Time {
        Time(self.0 * by)
    }
}

impl Div<i64> for Time {
    type Output = Time;
    fn div(self, by: i64) -> Time {
        Time(self.0 / by)
    }
}

impl Mul<Proportion> for Time {
    type Output = Time;
    fn mul(self, by: Proportion) -> Time {
        Time(self.0 * by.factor())
    }
}

impl Sum for Time {
    fn sum<I: Iterator<Item = Time>>(times: I) -> Time {
        times.fold(Time::ZERO, Add::add)
    }
}

/// `3/2`, or `4` where it is whole: the form of JSON and of the parts file.
impl fmt::Display for Time {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl fmt::Debug for Time {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// A time in words for people; see [`Time::spoken`].
#[derive(Clone, Copy)]
pub struct Spoken(Time);

impl fmt::Display for Spoken {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Spoken(time) = *self;
        let (whole, part) = (time.0.trunc().to_integer(), time.0.fract());
        let (above, below) = (part.numer().abs(), part.denom());
        match (whole, above) {
            (_, 0) => write!(f, "{whole}"),
            (0, _) => write!(f, "{}{above}/{below}", if time < Time::ZERO { "-" } else { "" }),
            _ => write!(f, "{whole} {above}/{below}"),
        }
    }
}

/// So many of any value in the time of so many: `3:2` is three in the time of two. `6:4` is the same
/// proportion, and keeps its figures.
#[derive(Clone, Copy, Debug)]
pub struct Proportion {
    many: u32,
    in_time_of: u32,
}

impl PartialEq for Proportion {
    fn eq(&self, other: &Proportion) -> bool {
        self.factor() == other.factor()
    }
}

impl Eq for Proportion {}

impl Hash for Proportion {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.factor().hash(state);
    }
}

impl Proportion {
    /// One in the time of one.
    pub const EQUAL: Proportion = Proportion { many: 1, in_time_of: 1 };

    /// Two in the time of one.
    pub const DUPLA: Proportion = Proportion { many: 2, in_time_of: 1 };

    /// One in the time of two.
    pub const SUBDUPLA: Proportion = Proportion { many: 1, in_time_of: 2 };

    /// Three in the time of one.
    pub const TRIPLA: Proportion = Proportion { many: 3, in_time_of: 1 };

    /// Three in the time of two.
    pub const SESQUIALTERA: Proportion = Proportion { many: 3, in_time_of: 2 };

    /// One in the time of three, which gives up a tripla.
    pub const SUBTRIPLA: Proportion = Proportion { many: 1, in_time_of: 3 };

    /// Two in the time of three, which gives up a sesquialtera.
    pub const SUBSESQUIALTERA: Proportion = Proportion { many: 2, in_time_of: 3 };

    /// Four in the time of three.
    pub const SESQUITERTIA: Proportion = Proportion { many: 4, in_time_of: 3 };

    /// The largest number that a proportion may name. Gaffurius's *Practica musicae* (1496), whose
    /// fourth book goes further than any music, stays below it (from memory).
    pub const LARGEST: u32 = 64;

    /// `many` in the time of `in_time_of`, or nothing where either is zero or over
    /// [`Proportion::LARGEST`].
    pub fn new(many: u32, in_time_of: u32) -> Option<Proportion> {
        let good = 1..=Proportion::LARGEST;
        (good.contains(&many) && good.contains(&in_time_of))
            .then_some(Proportion { many, in_time_of })
    }

    /// How many are sung.
    pub fn many(self) -> u32 {
        self.many
    }

    /// In the time of how many.
    pub fn in_time_of(self) -> u32 {
        self.in_time_of
    }

    /// Both proportions at once, in lowest terms; beyond [`Proportion::LARGEST`] if need be.
    #[must_use]
    pub fn and(self, other: Proportion) -> Proportion {
        let factor = self.factor() * other.factor();
        // Each figure is at most the product of a few small ones.
        Proportion { many: *factor.denom() as u32, in_time_of: *factor.numer() as u32 }
    }

    /// Whether lengths stay as they are.
    pub fn is_equal(self) -> bool {
        self.many == self.in_time_of
    }

    fn factor(self) -> Ratio<i64> {
        Ratio::new(self.in_time_of as i64, self.many as i64)
    }
}

/// `3:2`, as it is typed.
impl fmt::Display for Proportion {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.many, self.in_time_of)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_in_the_time_of_two_shorten_by_a_third() {
        assert_eq!(Time::minims(2) * Proportion::SESQUIALTERA, Time::new(4, 3));
    }

    #[test]
    fn a_time_is_spoken_as_a_mixed_number() {
        let spoken = |n, d| Time::new(n, d).spoken().to_string();
        assert_eq!(spoken(83, 2), "41 1/2");
        assert_eq!(spoken(1, 2), "1/2");
        assert_eq!(spoken(-1, 2), "-1/2");
        assert_eq!(spoken(4, 1), "4");
    }

    #[test]
    fn bars_are_counted_down_and_up() {
        let breve = Time::minims(4);
        assert_eq!(Time::new(19, 2).whole(breve), 2);
        assert_eq!(Time::new(19, 2).within(breve), Time::new(3, 2));
        assert_eq!(Time::new(19, 2).round_up(breve), Time::minims(12));
        assert_eq!(Time::minims(8).round_up(breve), Time::minims(8));
    }

    #[test]
    fn a_proportion_may_be_said_with_larger_figures() {
        let six = Proportion::new(6, 4).unwrap();
        assert_eq!(six, Proportion::SESQUIALTERA);
        assert_eq!(six.to_string(), "6:4");
        assert_ne!(six, Proportion::TRIPLA);
    }

    #[test]
    fn proportions_multiply_in_lowest_terms() {
        let both = Proportion::SESQUIALTERA.and(Proportion::SESQUIALTERA);
        assert_eq!((both.many(), both.in_time_of()), (9, 4));
        let back = Proportion::SESQUIALTERA.and(Proportion { many: 2, in_time_of: 3 });
        assert!(back.is_equal());
    }

    #[test]
    fn what_cannot_be_held_is_said() {
        let fine = Time::new(1, i64::MAX);
        assert_eq!(fine.checked_add(Time::new(1, i64::MAX - 1)), None);
    }
}
