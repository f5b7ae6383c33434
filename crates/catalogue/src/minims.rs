//! Times that can be stored.

use std::fmt;

use cartella::Time;
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A moment or a length in minims: `3/2` where people read it, two numbers where they do not.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Debug)]
pub struct Minims(pub Time);

impl fmt::Display for Minims {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl Serialize for Minims {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if serializer.is_human_readable() {
            serializer.collect_str(&self.0)
        } else {
            (self.0.numerator(), self.0.denominator()).serialize(serializer)
        }
    }
}

impl<'de> Deserialize<'de> for Minims {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Minims, D::Error> {
        let (numerator, denominator) = if deserializer.is_human_readable() {
            let text = String::deserialize(deserializer)?;
            let (numerator, denominator) = text.split_once('/').unwrap_or((&text, "1"));
            let number = |text: &str| text.parse::<i64>().map_err(D::Error::custom);
            (number(numerator)?, number(denominator)?)
        } else {
            <(i64, i64)>::deserialize(deserializer)?
        };
        match (numerator, denominator) {
            // The most common one needs no reducing.
            (_, 1) => Ok(Minims(Time::minims(numerator))),
            (i64::MIN, _) | (_, ..=0) => Err(D::Error::custom("no time has such a denominator")),
            _ => Ok(Minims(Time::new(numerator, denominator))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read_as_they_are_written() {
        for time in [Time::ZERO, Time::minims(12), Time::new(-7, 2)] {
            let written = serde_json::to_string(&Minims(time)).unwrap();
            assert_eq!(serde_json::from_str::<Minims>(&written).unwrap(), Minims(time));
        }
        assert_eq!(serde_json::to_string(&Minims(Time::new(3, 2))).unwrap(), "\"3/2\"");
    }

    #[test]
    fn what_is_no_time_is_refused() {
        for text in ["\"1/0\"", "\"-9223372036854775808/-1\"", "\"x\"", "\"1/2/3\"", "3"] {
            assert!(serde_json::from_str::<Minims>(text).is_err(), "{text}");
        }
    }
}
