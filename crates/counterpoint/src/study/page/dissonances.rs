//! Dissonances and faults.

use rudiments::Time;

use super::About;
use super::words::{counted, listed, pitch, place, step};
use crate::dyad::Discord;
use crate::study::{Figure, Finding, RuleSet, Severity};

/// So many findings of a kind are told; the others are counted.
const MOST_TOLD: usize = 12;

/// The figures, counted, and at how many moments nothing treats a dissonance.
pub(super) fn dissonances(about: &About<'_>) -> Vec<String> {
    let found = &about.study.dissonances;
    let mut told: Vec<String> = Vec::new();
    if !found.suspensions.is_empty() {
        let mut numbers: Vec<(&str, usize)> = Vec::new();
        for suspension in &found.suspensions {
            let name = suspension.numbers.name();
            match numbers.iter_mut().find(|(known, _)| *known == name) {
                Some((_, count)) => *count += 1,
                None => numbers.push((name, 1)),
            }
        }
        numbers.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
        let numbers = numbers.iter().map(|(name, count)| format!("{name} {count}"));
        let numbers = numbers.collect::<Vec<_>>().join(", ");
        told.push(format!("{} ({numbers})", counted(found.suspensions.len(), "suspension")));
    }
    // A figure may make several pairs; it is counted once at a moment.
    for figure in Figure::ALL.iter().filter(|figure| !is_suspended(**figure)) {
        let mut moments: Vec<_> =
            found.pairs.iter().filter(|pair| pair.figure == *figure).map(|pair| pair.at).collect();
        moments.dedup();
        if !moments.is_empty() && *figure != Figure::Untreated {
            told.push(format!("{} at {}", figure.name(), counted(moments.len(), "moment")));
        }
    }
    let untreated = match found.untreated {
        0 => "untreated: none".to_owned(),
        count => {
            let all = counted(found.simultaneities, "sonority").replace("sonoritys", "sonorities");
            format!("untreated: {count} of {all}")
        }
    };
    vec![if told.is_empty() { "none".to_owned() } else { told.join("; ") }, untreated]
}

fn is_suspended(figure: Figure) -> bool {
    matches!(
        figure,
        Figure::Suspension
            | Figure::PerfectSuspension
            | Figure::Restruck
            | Figure::SixFive
            | Figure::SuspensionOrnament
    )
}

/// A sign that singers may have added, and with which a false fifth or tritone is pure: `, unless Bb is
/// meant`.
fn unless(about: &About<'_>, fault: &Finding) -> String {
    let pair = fault.pair.as_ref().filter(|pair| pair.discord == Discord::Tritone);
    let sign = pair.and_then(|pair| {
        let sounds = |event| pitch(about.score, event);
        let (one, other) = (sounds(pair.one)?, sounds(pair.other)?);
        about.study.accidentals.iter().find(|proposed| {
            let apart = match proposed.event {
                event if event == pair.one => proposed.pitch.key_number() - other.key_number(),
                event if event == pair.other => proposed.pitch.key_number() - one.key_number(),
                _ => return false,
            };
            matches!(apart.abs() % 12, 5 | 7)
        })
    });
    sign.map_or_else(String::new, |proposed| format!(", unless {} is meant", step(proposed.pitch)))
}

/// Each fault in a sentence; what is found three times or more in one, where it stands first.
fn sentences(about: &About<'_>, faults: &[&Finding]) -> Vec<String> {
    let score = about.score;
    let mut of_text: Vec<(String, Vec<&Finding>)> = Vec::new();
    for fault in faults {
        let text = fault.text() + &unless(about, fault);
        match of_text.iter_mut().find(|(known, _)| *known == text) {
            Some((_, same)) => same.push(fault),
            None => of_text.push((text, vec![fault])),
        }
    }
    let mut told: Vec<(Time, String)> = Vec::new();
    for (text, same) in of_text {
        if same.len() < 3 {
            let said = |fault: &&Finding| fault.sentence(score) + &unless(about, fault);
            told.extend(same.iter().map(|fault| (fault.at, said(fault))));
            continue;
        }
        let places: Vec<String> = same.iter().map(|fault| place(score, fault.at)).collect();
        told.push((same[0].at, format!("bars {}: {text}", listed(&places))));
    }
    told.sort_by_key(|(at, _)| *at);
    told.into_iter().map(|(_, sentence)| sentence).collect()
}

/// What a finding is counted as: a dissonance by its figure.
fn name(finding: &Finding) -> &'static str {
    match &finding.pair {
        Some(pair) => pair.figure.name(),
        None => finding.rule.name(),
    }
}

/// What the rules forbid, each in a sentence; what they allow at times, counted by its rule.
pub(super) fn faults(about: &About<'_>) -> Vec<String> {
    let (study, score) = (about.study, about.score);
    let faults: Vec<_> =
        study.findings.iter().filter(|found| found.severity == Severity::Fault).collect();
    let mut told = sentences(about, &faults);
    if told.len() > MOST_TOLD {
        let more = told.len() - MOST_TOLD;
        told.truncate(MOST_TOLD);
        told.push(format!("and {more} more"));
    }
    if faults.is_empty() {
        told.push("none".to_owned());
    }
    for severity in [Severity::Licence, Severity::Remark] {
        let mut counts: Vec<(&str, usize)> = Vec::new();
        for found in study.findings.iter().filter(|found| found.severity == severity) {
            let name = name(found);
            match counts.iter_mut().find(|(known, _)| *known == name) {
                Some((_, count)) => *count += 1,
                None => counts.push((name, 1)),
            }
        }
        if !counts.is_empty() {
            let counts =
                counts.iter().map(|(name, count)| format!("{} {count}", name.replace('-', " ")));
            let kind = if severity == Severity::Licence { "licences" } else { "remarks" };
            told.push(format!("{kind}: {}", counts.collect::<Vec<_>>().join(", ")));
        }
    }
    let rules = study.rules;
    told.push(format!("by the rules of {}", rules.date()));
    if rules == RuleSet::Species {
        let name = |voice: usize| score.voices.get(voice).map_or("", |voice| voice.name.as_str());
        told.extend(study.exercises.iter().map(|exercise| {
            let [voice, cantus] = [exercise.voice, exercise.cantus].map(name);
            format!("{voice}: {} against the {cantus}", exercise.species.name())
        }));
        if study.exercises.is_empty() {
            told.push(
                "no cantus firmus, a voice in notes of one value: no voice has a species"
                    .to_owned(),
            );
        }
    }
    told
}
