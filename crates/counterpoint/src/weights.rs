//! What every kind of observation weighs, by its name.
//!
//! Weights are in natural units of log-odds: of two readings, one that costs 1 more is `e` times
//! less likely. They stand in `weights.tsv`, a line each: the rule, the kind, the weight. The tuning
//! program writes that file, and says how they were fitted, and on which pieces; do not change it by
//! hand. What has no line there weighs nothing.

use std::collections::HashMap;
use std::fmt;
use std::sync::LazyLock;

use crate::kinds::Kinds;
use crate::rules::rule::Weighed;
use crate::rules::{self, Group, Listed};
use crate::slip;

/// How many weights there are.
const COUNT: usize = rules::KINDS + slip::Kind::COUNT;

/// A weight, or how often something is observed, for every kind of every rule and of slips.
#[derive(Clone, PartialEq, Debug)]
pub struct Weights([f32; COUNT]);

/// Something of which the place among all weights is known.
pub(crate) trait Placed: Weighed {
    /// The place of the first kind.
    const FIRST: usize;
}

impl<R: Listed> Placed for R {
    const FIRST: usize = <R as Listed>::FIRST;
}

impl Placed for slip::Kind {
    const FIRST: usize = rules::KINDS;
}

/// The weights that were tuned on the development pieces.
static TUNED: LazyLock<Weights> = LazyLock::new(|| Weights::read(include_str!("weights.tsv")));

impl Weights {
    /// All nothing.
    pub fn nothing() -> Weights {
        Weights([0.0; COUNT])
    }

    /// The weights that were tuned on the development pieces.
    pub fn tuned() -> &'static Weights {
        &TUNED
    }

    /// Weights from lines of a rule, a kind and a weight with tabs between; what is not known is
    /// passed over.
    pub fn read(text: &str) -> Weights {
        let keys = keys();
        let places: HashMap<(&str, &str), usize> = keys
            .iter()
            .enumerate()
            .map(|(place, (rule, kind))| ((*rule, kind.as_str()), place))
            .collect();
        let mut weights = Weights::nothing();
        for line in text.lines() {
            if let Some((rule, kind, weight)) = entry(line)
                && let Some(place) = places.get(&(rule, kind))
            {
                weights.0[*place] = weight;
            }
        }
        weights
    }

    /// All of them in order.
    pub fn values(&self) -> &[f32] {
        &self.0
    }

    /// All of them in order, to be changed.
    pub fn values_mut(&mut self) -> &mut [f32] {
        &mut self.0
    }

    /// That of one kind.
    pub(crate) fn of<W: Placed>(&self, kind: W) -> f32 {
        self.0[W::FIRST + kind.number()]
    }

    /// That of one kind, to be changed.
    pub(crate) fn of_mut<W: Placed>(&mut self, kind: W) -> &mut f32 {
        &mut self.0[W::FIRST + kind.number()]
    }
}

/// As [`Weights::read`] reads them; those of 0 are left out.
impl fmt::Display for Weights {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for ((rule, kind), weight) in keys().iter().zip(self.values()) {
            if weight.abs() >= 0.0005 {
                writeln!(f, "{rule}\t{kind}\t{weight:.3}")?;
            }
        }
        Ok(())
    }
}

/// The groups of all weights, in order.
pub(crate) fn groups() -> Vec<Group> {
    let mut groups = rules::groups();
    groups.push(Group::of::<slip::Kind>());
    groups
}

/// The rule and the kind of every weight.
fn keys() -> Vec<(&'static str, String)> {
    let of = |group: Group| group.kinds.into_iter().map(move |kind| (group.name, kind));
    groups().into_iter().flat_map(of).collect()
}

/// A line of the file.
fn entry(line: &str) -> Option<(&str, &str, f32)> {
    let (rule, rest) = line.split_once('\t')?;
    let (kind, weight) = rest.split_once('\t')?;
    Some((rule, kind, weight.parse().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_of_the_file_is_a_weight_of_something() {
        let text = include_str!("weights.tsv");
        let keys = keys();
        let mut known = Vec::new();
        for line in text.lines() {
            let (rule, kind, _) = entry(line).unwrap_or_else(|| panic!("{line}"));
            let place = keys.iter().position(|key| (key.0, key.1.as_str()) == (rule, kind));
            known.push(place.unwrap_or_else(|| panic!("{line}")));
        }
        assert!(known.is_sorted_by(|one, other| one < other), "in order, each once");
        assert_eq!(keys.len(), COUNT);
    }

    #[test]
    fn weights_are_written_as_they_are_read() {
        let tuned = Weights::tuned();
        assert_eq!(Weights::read(&tuned.to_string()), *tuned);
        assert_eq!(tuned.to_string(), include_str!("weights.tsv"));
    }

    /// A new rule weighs nothing until it is tuned, and an old one is no longer looked at.
    #[test]
    fn what_is_not_in_the_file_weighs_nothing() {
        let text = "parallel\toctaves\t3.5\nno such rule\tat all\t1\nparallel\tfifths\tmuch\n\n";
        let weights = Weights::read(text);
        assert_eq!(weights.to_string(), "parallel\toctaves\t3.500\n");
    }
}
