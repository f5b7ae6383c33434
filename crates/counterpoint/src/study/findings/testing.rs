//! What is found in a few notes.

use super::findings;
use crate::study::figures::dissonances;
use crate::study::moments::Moments;
use crate::study::rules::RuleSet;
use crate::study::species::Exercises;
use crate::study::suspension::suspensions;
use crate::study::testing::{texture, voices};

/// What a rule set finds: when, in minims, and by which rule.
pub(super) fn found_by(rules: RuleSet, music: &[&str]) -> Vec<String> {
    let texture = texture(&voices(music));
    let moments = Moments::new(&texture);
    let suspensions = suspensions(&texture, &moments);
    let exercises = Exercises::of(&texture);
    let dissonances = dissonances(&texture, &moments, &suspensions, &exercises, rules);
    let found = findings(&texture, &moments, &dissonances, &exercises, rules);
    found
        .iter()
        .map(|found| format!("{}: {} {}", found.at, found.severity.name(), found.rule.name()))
        .collect()
}

/// The same about 1560.
pub(super) fn found(music: &[&str]) -> Vec<String> {
    found_by(RuleSet::About1560, music)
}

pub(super) const NOTHING: [&str; 0] = [];
