//! Lengths that can be kept exactly together.

use notation::longest_voice;
use rudiments::Time;

/// The largest common denominator of all lengths of a piece. Far beyond what any source asks for
/// (semifusae in three simultaneous proportions stay below 1000), and small enough that all sums
/// within the largest file stay exact in 64 bits.
pub(super) const FINEST: i64 = 1_000_000;

/// The longest event, whatever length or ratio is typed.
pub(super) const LONGEST: Time = Time::minims(9999);

/// Keeps all lengths within what can be added exactly.
pub(super) struct Exact {
    /// The common denominator of all lengths so far.
    common: i64,
    /// How long a voice may be.
    pub(super) longest: Time,
    /// Whether it was said that one is longer.
    pub(super) too_long: bool,
}

impl Exact {
    /// Of a piece of so many voices.
    pub(super) fn new(voices: usize) -> Exact {
        Exact { common: 1, longest: longest_voice(voices), too_long: false }
    }

    /// The length of an event, if it can be kept together with all others.
    pub(super) fn admit(&mut self, length: Time) -> Option<Time> {
        let common = lcm(self.common, length.denominator()).filter(|common| *common <= FINEST)?;
        if length > LONGEST {
            return None;
        }
        self.common = common;
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
