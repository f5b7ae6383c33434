//! Numbers of an SVG file, short, and sums that do not drift: all lengths are whole multiples of one
//! small unit.

use std::fmt;

/// How finely lengths are written: so many digits behind the point.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Digits(pub(super) u32);

impl Digits {
    /// A length as a whole number of the smallest units.
    pub(super) fn units(self, length: f64) -> i64 {
        (length * 10f64.powi(self.0 as i32)).round() as i64
    }

    /// So many units, as a number to be written.
    pub(super) fn number(self, units: i64) -> Number {
        Number { units, digits: self }
    }

    /// A length as a number to be written.
    pub(super) fn of(self, length: f64) -> Number {
        self.number(self.units(length))
    }
}

/// A number as it is written: without idle zeros before the point or at its end.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Number {
    units: i64,
    digits: Digits,
}

impl fmt::Display for Number {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (mut rest, mut digits) = (self.units.unsigned_abs(), self.digits.0 as usize);
        while digits > 0 && rest.is_multiple_of(10) {
            rest /= 10;
            digits -= 1;
        }
        if self.units < 0 {
            f.write_str("-")?;
        }
        let one = 10u64.pow(digits as u32);
        let (whole, part) = (rest / one, rest % one);
        if whole > 0 || digits == 0 {
            write!(f, "{whole}")?;
        }
        if digits > 0 { write!(f, ".{part:0digits$}") } else { Ok(()) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short() {
        let written = |number: f64| Digits(3).of(number).to_string();
        assert_eq!(written(12.0), "12");
        assert_eq!(written(10.0), "10");
        assert_eq!(written(-0.25), "-.25");
        assert_eq!(written(1.05), "1.05");
        assert_eq!(written(-3.1), "-3.1");
        assert_eq!(written(0.0004), "0");
        assert_eq!(written(-0.0004), "0");
        assert_eq!(written(0.007), ".007");
    }
}
