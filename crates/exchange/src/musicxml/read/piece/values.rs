//! Values for lengths.

use notation::{Dot, Event, Sound};
use rudiments::{Proportion, Time, Value};

/// The largest numbers in the length of an event that a parts file has.
const LARGEST_NUMBER: i64 = 9999;

/// How an event of some length is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Written {
    pub(super) value: Value,
    pub(super) dotted: bool,
    /// The editor's length, where no value has it.
    pub(super) length: Option<Time>,
}

impl Written {
    /// An event so written.
    pub(super) fn event(self, sound: Sound) -> Event {
        let dot = self.dotted.then_some(Dot::Plain);
        Event { dot, length: self.length, ..Event::new(self.value, sound) }
    }
}

/// The value of a length in plain counting, dotted if need be.
fn plain(length: Time) -> Option<Written> {
    Value::ALL.into_iter().find_map(|value| {
        let plain = value.plain();
        let dotted = plain + plain.half() == length;
        (dotted || plain == length).then_some(Written { value, dotted, length: None })
    })
}

/// The value that has a length in a proportion.
pub(super) fn in_proportion(length: Time, ratio: Proportion) -> Option<Written> {
    plain(length * ratio.many() as i64 / ratio.in_time_of() as i64)
}

/// The editor's length, with a value near it; nothing if its numbers are too large.
pub(super) fn editors(length: Time) -> Option<Written> {
    let writable = length.numerator() <= LARGEST_NUMBER && length.denominator() <= LARGEST_NUMBER;
    let near = |value: &Value| *value >= Value::Breve && value.plain() <= length;
    let value = Value::ALL.into_iter().find(near).unwrap_or(Value::Semifusa);
    writable.then_some(Written { value, dotted: false, length: Some(length) })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(above: i64, below: i64, ratio: Proportion) -> Option<(Value, bool)> {
        in_proportion(Time::new(above, below), ratio).map(|found| (found.value, found.dotted))
    }

    #[test]
    fn values_and_dots() {
        let equal = Proportion::EQUAL;
        assert_eq!(written(1, 1, equal), Some((Value::Minim, false)));
        assert_eq!(written(3, 1, equal), Some((Value::Semibreve, true)));
        assert_eq!(written(24, 1, equal), Some((Value::Maxima, true)));
        assert_eq!(written(3, 16, equal), Some((Value::Semifusa, true)));
        for (above, below) in [(5, 1), (10, 1), (1, 16), (2, 3), (32, 1)] {
            assert_eq!(written(above, below, equal), None, "{above}/{below}");
        }
    }

    #[test]
    fn values_in_proportion() {
        let three = Proportion::SESQUIALTERA;
        assert_eq!(written(2, 3, three), Some((Value::Minim, false)));
        assert_eq!(written(1, 1, three), Some((Value::Minim, true)));
        assert_eq!(written(4, 3, three), Some((Value::Semibreve, false)));
        assert_eq!(written(5, 3, three), None);
    }

    #[test]
    fn lengths_of_no_value() {
        let found = editors(Time::minims(10)).unwrap();
        assert_eq!((found.value, found.length), (Value::Breve, Some(Time::minims(10))));
        assert_eq!(editors(Time::new(1, 32)).unwrap().value, Value::Semifusa);
        assert_eq!(editors(Time::new(1, 10_000)), None);
    }
}
