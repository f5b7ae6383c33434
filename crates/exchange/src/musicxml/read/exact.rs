//! Numbers of the file as exact fractions, within what music needs.

use num_rational::Ratio;
use rudiments::Time;

use crate::Fault;
use crate::reading::{FINEST, LONGEST_EVENT};

/// The largest number that is read, and the finest part of one: durations have up to nine digits
/// in files that divide the quarter most finely, and decimals are rare.
const LARGEST: i64 = 999_999_999;
const MOST_DECIMALS: usize = 3;

/// A number as it stands in the file.
pub(super) type Number = Ratio<i64>;

/// A decimal number as XML Schema has it; nothing for one that is larger or finer than music needs.
pub(super) fn decimal(text: &str) -> Option<Number> {
    let text = text.trim();
    let (negative, digits) = match text.strip_prefix('-') {
        Some(digits) => (true, digits),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    let part = part.trim_end_matches('0');
    let all_digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if whole.len() + part.len() == 0 && !digits.contains('0') {
        return None;
    }
    if !all_digits(whole) || !all_digits(part) || part.len() > MOST_DECIMALS {
        return None;
    }
    let whole = whole.trim_start_matches('0');
    let number = |text: &str| if text.is_empty() { Some(0) } else { text.parse().ok() };
    let whole: i64 = number(whole).filter(|whole| *whole <= LARGEST)?;
    let scale = 10_i64.pow(part.len() as u32);
    let value = Number::new(whole * scale + number(part)?, scale);
    Some(if negative { -value } else { value })
}

/// A whole number within these bounds.
pub(super) fn whole(text: &str, bounds: std::ops::RangeInclusive<i64>) -> Option<i64> {
    let number = decimal(text)?;
    (number.is_integer() && bounds.contains(number.numer())).then(|| number.to_integer())
}

/// Keeps all times of a file within what can be added exactly.
pub(super) struct Exact {
    /// The common denominator of all times so far.
    common: i64,
}

impl Default for Exact {
    fn default() -> Exact {
        Exact { common: 1 }
    }
}

impl Exact {
    /// The length of something, if it is not too long and can be kept together with all others.
    pub(super) fn admit(&mut self, length: Time) -> Result<Time, Fault> {
        if length > Time::minims(LONGEST_EVENT) || length < Time::ZERO {
            return Err(Fault::TooLong);
        }
        let parts = length.denominator();
        if self.common % parts != 0 {
            let common = self.common / greatest_common_divisor(self.common, parts);
            self.common =
                common.checked_mul(parts).filter(|all| *all <= FINEST).ok_or(Fault::TooFine)?;
        }
        Ok(length)
    }
}

fn greatest_common_divisor(one: i64, other: i64) -> i64 {
    let (mut divisor, mut rest) = (one, other);
    while rest != 0 {
        (divisor, rest) = (rest, divisor % rest);
    }
    divisor
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_are_exact() {
        for (text, above, below) in [
            ("2", 2, 1),
            (" 12.50 ", 25, 2),
            ("-1", -1, 1),
            ("+.5", 1, 2),
            ("0", 0, 1),
            ("7.", 7, 1),
            ("000000000001", 1, 1),
        ] {
            assert_eq!(decimal(text), Some(Number::new(above, below)), "{text}");
        }
    }

    #[test]
    fn what_is_no_number_of_music() {
        for text in
            ["", ".", "-", "1e9", "1/2", "NaN", "0x1", "--1", "9999999999", "1.0001", "1.2.3", "¼"]
        {
            assert_eq!(decimal(text), None, "{text}");
        }
        assert_eq!(whole("1.5", 0..=9), None);
        assert_eq!(whole("10", 0..=9), None);
        assert_eq!(whole("-3", -7..=7), Some(-3));
    }

    #[test]
    fn times_are_kept_together() {
        let mut exact = Exact::default();
        assert!(exact.admit(Time::new(1, 10_080)).is_ok());
        assert!(exact.admit(Time::new(5, 64)).is_ok());
        assert_eq!(exact.admit(Time::new(1, 9973)), Err(Fault::TooFine));
        assert_eq!(exact.admit(Time::minims(10_000)), Err(Fault::TooLong));
        assert_eq!(exact.admit(Time::new(-1, 2)), Err(Fault::TooLong));
    }
}
