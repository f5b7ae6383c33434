//! What the rules say of dissonances: one finding for each note that makes them, and one for all
//! untreated pairs of a moment.

use std::collections::HashSet;

use super::{Finding, Found};
use crate::observe::EventId;
use crate::study::figures::{Dissonances, Pair};
use crate::study::rules::{Rule, Severity};

pub(super) fn find(dissonances: &Dissonances, found: &mut Found<'_>) {
    let mut said: HashSet<EventId> = HashSet::new();
    for moment in dissonances.pairs.chunk_by(|one, other| one.at == other.at) {
        let untreated: Vec<&Pair> = moment.iter().filter(|pair| pair.is_untreated()).collect();
        if let Some(first) = untreated.first() {
            let mut events: Vec<EventId> =
                untreated.iter().flat_map(|pair| [pair.one, pair.other]).collect();
            events.sort_unstable();
            events.dedup();
            found.findings.push(Finding {
                rule: Rule::UntreatedDissonance,
                severity: Severity::Fault,
                at: first.at,
                events,
                pair: Some(**first),
            });
        }
        for pair in moment.iter().filter(|pair| !pair.is_untreated()) {
            if let Some(severity) = pair.judgement.filter(|_| said.insert(pair.by)) {
                found.findings.push(Finding {
                    rule: Rule::Dissonance,
                    severity,
                    at: pair.at,
                    events: vec![pair.one, pair.other],
                    pair: Some(*pair),
                });
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{NOTHING, found, found_by};
    use crate::study::rules::RuleSet;

    #[test]
    fn an_untreated_dissonance_is_a_fault() {
        assert_eq!(found(&["sb C5 D5 C5", "sb F4 C4 C4"])[0], "2: fault untreated-dissonance");
        assert_eq!(found(&["mn E5 D5 C5 C5", "sb C4 C4"]), NOTHING);
    }

    /// What one date allows is a fault at another.
    #[test]
    fn an_escaped_note_by_date() {
        let music = ["sm E5 F5 C5 D5 sb E5", "sb C4 C4"];
        let dissonances = |rules| {
            let found = found_by(rules, &music);
            found.into_iter().filter(|found| found.contains("dissonance")).collect::<Vec<_>>()
        };
        assert_eq!(dissonances(RuleSet::About1500), NOTHING);
        assert_eq!(dissonances(RuleSet::About1560), ["1/2: fault untreated-dissonance"]);
    }

    #[test]
    fn several_pairs_of_a_moment_are_one_fault() {
        let found = found(&["sb E5 D5", "sb G4 C5", "sb C4 E4"]);
        let dissonances = found.iter().filter(|found| found.contains("dissonance")).count();
        assert_eq!(dissonances, 1, "{found:?}");
    }
}
