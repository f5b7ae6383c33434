//! The rules, a file each: its source, what it observes, and its sentence.
//!
//! Whoever adds one adds its file, and its line in the list below. Its weight is 0 until the weights
//! are tuned again.

mod alteration;
mod bar_line;
mod consonance;
mod direct;
mod dissonance;
mod final_note;
pub(crate) mod inflection;
mod likeness;
mod line_end;
mod motion;
mod natural_place;
mod parallel;
pub(crate) mod rule;
mod succession;
#[cfg(test)]
mod testing;
mod turn;
mod unwritten_sign;

pub use alteration::Alteration;
pub use bar_line::BarLine;
pub use consonance::Consonance;
pub use direct::Direct;
pub use dissonance::{Dissonance, Figure};
pub use final_note::FinalNote;
pub use inflection::Inflection;
pub use likeness::Likeness;
pub use line_end::LineEnd;
pub use motion::Motion;
pub use natural_place::NaturalPlace;
pub use parallel::Parallel;
pub use succession::{Brevity, Succession};
pub use turn::Turn;
pub use unwritten_sign::UnwrittenSign;

use crate::kinds::Kinds;
use rule::{Heard, Meeting, OfEvent, OfMeeting, Prior, Rule, Weighed};

/// A rule of the list.
pub(crate) trait Listed: Rule {
    /// Where its kinds begin among those of all rules.
    const FIRST: usize;

    /// What it observes, among what all rules do.
    fn what(self) -> Observed;
}

/// Takes what is observed.
pub(crate) trait Sink {
    /// Something at an event.
    fn event<R: Listed + OfEvent>(&mut self, seen: R, heard: &Heard<'_>);

    /// Something between two voices.
    fn meeting<R: Listed + OfMeeting>(&mut self, seen: R, meeting: &Meeting<'_>);
}

/// A group of weights: their name, how many there are, how they begin, and the name of each.
pub(crate) struct Group {
    pub(crate) name: &'static str,
    pub(crate) prior: Prior,
    pub(crate) kinds: Vec<String>,
}

impl Group {
    pub(crate) fn of<W: Weighed>() -> Group {
        let kinds = W::all().into_iter().map(Kinds::name).collect();
        Group { name: W::NAME, prior: W::PRIOR, kinds }
    }
}

macro_rules! rules {
    (
        events: $($event:ident),*;
        meetings: $($meeting:ident),*;
        melodies: $($melody:ident),*;
    ) => {
        rules!(@all $($event)* $($meeting)* $($melody)*);

        /// All that is observed at an event.
        #[inline]
        pub(crate) fn at_event(heard: &Heard<'_>, sink: &mut impl Sink) {
            $(if let Some(seen) = <$event as OfEvent>::observe(heard) {
                sink.event(seen, heard);
            })*
        }

        /// All that is observed where two voices meet.
        #[inline]
        pub(crate) fn at_meeting(meeting: &Meeting<'_>, sink: &mut impl Sink) {
            $(if let Some(seen) = <$meeting as OfMeeting>::observe(meeting) {
                sink.meeting(seen, meeting);
            })*
        }
    };
    (@all $($rule:ident)*) => {
        /// What was observed, by its rule.
        #[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
        #[non_exhaustive]
        #[allow(missing_docs)]
        pub enum Observed {
            $($rule($rule),)*
        }

        impl Observed {
            /// The name of its rule.
            pub fn rule(self) -> &'static str {
                match self {
                    $(Observed::$rule(_) => <$rule as Weighed>::NAME,)*
                }
            }

            /// Its kind in a few words, as its rule tells kinds apart.
            pub fn name(self) -> String {
                match self {
                    $(Observed::$rule(seen) => Kinds::name(seen),)*
                }
            }

            /// What was observed, in plain words without a place: `parallel fifths`.
            pub fn sentence(self) -> String {
                match self {
                    $(Observed::$rule(seen) => Rule::sentence(seen),)*
                }
            }
        }

        /// The rules by their places in the list.
        #[allow(clippy::enum_variant_names)]
        enum Order {
            $($rule,)*
        }

        /// How many kinds each rule tells apart.
        const COUNTS: &[usize] = &[$(<$rule as Kinds>::COUNT),*];

        $(impl Listed for $rule {
            const FIRST: usize = kinds_before(Order::$rule as usize);

            fn what(self) -> Observed {
                Observed::$rule(self)
            }
        })*

        /// The groups of the kinds of all rules, in order.
        pub(crate) fn groups() -> Vec<Group> {
            vec![$(Group::of::<$rule>()),*]
        }
    };
}

rules! {
    events: NaturalPlace, Succession, FinalNote, LineEnd, BarLine, Motion, Turn, Alteration, Direct;
    meetings: Parallel, Consonance, Dissonance;
    melodies: Likeness, Inflection, UnwrittenSign;
}

/// How many kinds the first rules of the list tell apart.
const fn kinds_before(rules: usize) -> usize {
    let (mut sum, mut rule) = (0, 0);
    while rule < rules {
        sum += COUNTS[rule];
        rule += 1;
    }
    sum
}

/// How many kinds all rules tell apart.
pub(crate) const KINDS: usize = kinds_before(COUNTS.len());

#[cfg(test)]
mod tests {
    use std::collections::HashSet;

    use super::*;

    /// By these names the weights are known.
    #[test]
    fn rules_and_kinds_have_names_of_their_own() {
        let groups = groups();
        let names: HashSet<&str> = groups.iter().map(|group| group.name).collect();
        assert_eq!(names.len(), groups.len());
        for (group, count) in groups.iter().zip(COUNTS) {
            assert_eq!(group.kinds.len(), *count, "{}", group.name);
            let names: HashSet<&String> = group.kinds.iter().collect();
            assert_eq!(names.len(), *count, "{:?}", group.kinds);
        }
    }

    /// `docs/counterpoint.md` has a row for every rule, with its source.
    #[test]
    fn every_rule_has_its_row_in_the_document() {
        let page = include_str!("../../../../docs/counterpoint.md");
        let table = page.lines().skip_while(|line| !line.starts_with("| rule |")).skip(2);
        let rows: Vec<Vec<&str>> = table
            .take_while(|line| line.starts_with('|'))
            .map(|row| row.split('|').map(str::trim).collect())
            .collect();
        for group in groups() {
            let of_rule: Vec<_> = rows.iter().filter(|row| row[1] == group.name).collect();
            assert_eq!(of_rule.len(), 1, "the table of docs/counterpoint.md: {}", group.name);
            assert!(!of_rule[0][3].is_empty(), "{} has no source", group.name);
        }
        assert_eq!(rows.len(), groups().len(), "each row is a rule's");
    }

    #[test]
    fn kinds_are_numbered_in_order() {
        fn check<K: Kinds>() {
            let numbers: Vec<usize> = K::all().into_iter().map(Kinds::number).collect();
            assert_eq!(numbers, (0..K::COUNT).collect::<Vec<_>>());
        }
        check::<NaturalPlace>();
        check::<Succession>();
        check::<Consonance>();
        check::<Dissonance>();
        check::<Motion>();
    }
}
