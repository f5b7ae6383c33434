//! Lengths that can be kept exactly together.

use rudiments::{Time, Value};

/// The largest common denominator of all lengths of a piece. Far beyond what any source asks for
/// (semifusae in three simultaneous proportions stay below 1000), and small enough that all sums
/// within the largest file stay exact in 64 bits.
pub(super) const FINEST: i64 = 1_000_000;

/// The longest event, whatever length or ratio is typed.
pub(super) const LONGEST: Time = Time::minims(9999);

/// Lengths and ratios that are typed may make a piece so many minims longer than its dotted values,
/// and so many more for each event: a few letters must not become a score of many thousand bars.
const MOST_STRETCHED: i64 = 20_000;
const MOST_STRETCHED_AN_EVENT: i64 = 16;

/// Keeps all lengths within what can be added exactly.
pub(super) struct Exact {
    /// The common denominator of all lengths so far.
    common: i64,
    /// How much longer than their dotted values all events so far are.
    stretched: Time,
    /// How much longer they may be.
    most_stretched: Time,
}

impl Default for Exact {
    fn default() -> Exact {
        let most_stretched = Time::minims(MOST_STRETCHED);
        Exact { common: 1, stretched: Time::ZERO, most_stretched }
    }
}

impl Exact {
    /// The length of an event of that value, if it can be kept together with all others.
    pub(super) fn admit(&mut self, length: Time, value: Value) -> Option<Time> {
        self.most_stretched += Time::minims(MOST_STRETCHED_AN_EVENT);
        let common = lcm(self.common, length.denominator()).filter(|common| *common <= FINEST)?;
        if length > LONGEST {
            return None;
        }
        let dotted = value.plain() + value.plain().half();
        let stretched = self.stretched + (length - dotted).max(Time::ZERO);
        if stretched > self.most_stretched {
            return None;
        }
        (self.common, self.stretched) = (common, stretched);
        Some(length)
    }
}

fn lcm(a: i64, b: i64) -> Option<i64> {
    let (mut divisor, mut rest) = (a, b);
    while rest != 0 {
        (divisor, rest) = (rest, divisor % rest);
    }
    (a / divisor).checked_mul(b)
}
