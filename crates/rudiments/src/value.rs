//! The mensural values, from maxima to semifusa.

use std::fmt;

use crate::Time;

/// A mensural value, the longest first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
#[allow(missing_docs)]
pub enum Value {
    Maxima,
    Longa,
    Breve,
    Semibreve,
    Minim,
    Semiminim,
    Fusa,
    Semifusa,
}

impl Value {
    /// All values, the longest first.
    pub const ALL: [Value; 8] = [
        Value::Maxima,
        Value::Longa,
        Value::Breve,
        Value::Semibreve,
        Value::Minim,
        Value::Semiminim,
        Value::Fusa,
        Value::Semifusa,
    ];

    /// Its length in plain counting, two of the smaller in one of the larger.
    pub fn plain(self) -> Time {
        match self {
            Value::Maxima => Time::minims(16),
            Value::Longa => Time::minims(8),
            Value::Breve => Time::minims(4),
            Value::Semibreve => Time::minims(2),
            Value::Minim => Time::minims(1),
            Value::Semiminim => Time::new(1, 2),
            Value::Fusa => Time::new(1, 4),
            Value::Semifusa => Time::new(1, 8),
        }
    }

    /// The next smaller value; a semifusa has none.
    pub fn smaller(self) -> Option<Value> {
        Value::ALL.get(self as usize + 1).copied()
    }

    /// The next larger value; a maxima has none.
    pub fn larger(self) -> Option<Value> {
        (self as usize).checked_sub(1).map(|place| Value::ALL[place])
    }

    /// The value so many degrees smaller, or larger if negative; nothing beyond the maxima and the
    /// semifusa.
    pub fn degrees_smaller(self, degrees: i32) -> Option<Value> {
        let place = usize::try_from(self as i32 + degrees).ok()?;
        Value::ALL.get(place).copied()
    }

    /// The two letters by which it is typed.
    pub fn letters(self) -> &'static str {
        match self {
            Value::Maxima => "mx",
            Value::Longa => "lg",
            Value::Breve => "br",
            Value::Semibreve => "sb",
            Value::Minim => "mn",
            Value::Semiminim => "sm",
            Value::Fusa => "fu",
            Value::Semifusa => "sf",
        }
    }

    /// The value that these two letters stand for.
    pub fn from_letters(letters: &str) -> Option<Value> {
        Value::ALL.into_iter().find(|value| value.letters() == letters)
    }

    /// Its name in a sentence.
    pub fn name(self) -> &'static str {
        match self {
            Value::Maxima => "maxima",
            Value::Longa => "longa",
            Value::Breve => "breve",
            Value::Semibreve => "semibreve",
            Value::Minim => "minim",
            Value::Semiminim => "semiminim",
            Value::Fusa => "fusa",
            Value::Semifusa => "semifusa",
        }
    }
}

/// The two letters, as typed.
impl fmt::Display for Value {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.letters())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_value_is_half_of_the_larger() {
        for value in Value::ALL {
            if let Some(larger) = value.larger() {
                assert_eq!(value.plain() + value.plain(), larger.plain());
                assert_eq!(larger.smaller(), Some(value));
            }
        }
        assert_eq!(Value::Minim.plain(), Time::minims(1));
    }

    #[test]
    fn letters_name_their_value() {
        for value in Value::ALL {
            assert_eq!(Value::from_letters(value.letters()), Some(value));
        }
        assert_eq!(Value::from_letters("cr"), None);
    }
}
