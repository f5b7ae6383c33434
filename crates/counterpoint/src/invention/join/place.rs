//! Where the second pair enters, as musicians say it: by the cadence of the first.

use std::fmt;

use rudiments::Time;

use super::super::line::{MINIM, time};

/// The cadence to which a pair comes at its end; without a suspension, its last note.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Goal {
    /// Where the cadential semibreve begins, in ticks.
    pub(super) dissonance: Option<i64>,
    /// Where the goal is reached.
    pub(super) at: i64,
    /// How high it is in the cantizans, or in the lowest voice where nothing is suspended.
    pub(super) rung: i32,
}

/// Where a pair enters upon the cadence of another, in the order in which places are tried.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Place {
    /// Together with the goal, or with the last note.
    UponGoal,
    /// Where the suspension becomes a dissonance.
    OnSemibreve,
    /// A minim after the goal.
    AfterGoal,
    /// A semibreve before the cadential one.
    SemibreveBefore,
    /// A minim before the cadential semibreve.
    MinimBefore,
    /// So many minims before the goal, elsewhere; negative after it.
    Elsewhere(Time),
    /// When the first pair has ended.
    End,
}

impl Place {
    /// The places by a cadence that have names of their own, in the order in which they are tried.
    pub const NAMED: [Place; 5] = [
        Place::UponGoal,
        Place::OnSemibreve,
        Place::AfterGoal,
        Place::SemibreveBefore,
        Place::MinimBefore,
    ];

    pub(super) fn of(at: i64, goal: Goal) -> Place {
        let after = |from: Option<i64>, ticks: i64| from.is_some_and(|from| at == from + ticks);
        match goal.dissonance {
            _ if at == goal.at => Place::UponGoal,
            from if after(from, 0) => Place::OnSemibreve,
            _ if at == goal.at + MINIM => Place::AfterGoal,
            from if after(from, -2 * MINIM) => Place::SemibreveBefore,
            from if after(from, -MINIM) => Place::MinimBefore,
            _ => Place::Elsewhere(time(goal.at - at)),
        }
    }

    /// By how many kinds of place it is tried later than others.
    pub(super) fn rank(self) -> usize {
        let named = Place::NAMED.iter().position(|place| *place == self);
        named.unwrap_or(Place::NAMED.len() + usize::from(self == Place::End))
    }

    /// Its name in JSON.
    pub fn name(self) -> &'static str {
        match self {
            Place::UponGoal => "goal",
            Place::OnSemibreve => "semibreve",
            Place::AfterGoal => "after",
            Place::SemibreveBefore => "semibreve-before",
            Place::MinimBefore => "minim-before",
            Place::Elsewhere(_) => "elsewhere",
            Place::End => "end",
        }
    }
}

/// `upon the goal`, `a minim after the goal`.
impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Place::UponGoal => f.write_str("upon the goal"),
            Place::OnSemibreve => f.write_str("on the cadential semibreve"),
            Place::AfterGoal => f.write_str("a minim after the goal"),
            Place::SemibreveBefore => f.write_str("a semibreve before the cadential one"),
            Place::MinimBefore => f.write_str("a minim before the cadential semibreve"),
            Place::Elsewhere(minims) => {
                let way = if minims.is_positive() { "before" } else { "after" };
                let minims = if minims.is_positive() { *minims } else { Time::ZERO - *minims };
                let unit = if minims == Time::minims(1) { "minim" } else { "minims" };
                write!(f, "{} {unit} {way} the goal", minims.spoken())
            }
            Place::End => f.write_str("when the first pair has ended"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_told_by_the_cadence() {
        let goal = Goal { dissonance: Some(6 * MINIM), at: 8 * MINIM, rung: 0 };
        let said = |minim: i64| Place::of(minim * MINIM, goal).to_string();
        assert_eq!(said(8), "upon the goal");
        assert_eq!(said(6), "on the cadential semibreve");
        assert_eq!(said(9), "a minim after the goal");
        assert_eq!(said(4), "a semibreve before the cadential one");
        assert_eq!(said(5), "a minim before the cadential semibreve");
        assert_eq!(said(7), "1 minim before the goal");
        assert_eq!(said(10), "2 minims after the goal");
        let last = Goal { dissonance: None, at: 8 * MINIM, rung: 0 };
        assert_eq!(Place::of(6 * MINIM, last).to_string(), "2 minims before the goal");
    }
}
