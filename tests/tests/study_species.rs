//! The strict species in two voices: exercises without a fault give none, and a fault planted in one
//! gives that fault alone.
//!
//! The cantus firmi are those of Fux, *Gradus ad Parnassum*, 1725, I, in D, E, F, G, A and C, and so
//! are the three solutions called his; both from memory, so that a note may differ. The other
//! solutions are ours.

use counterpoint::study::{RuleSet, Severity, judge};
use suite::slips::scored;

const D: &str = "sb D4 F4 E4 D4 G4 F4 A4 G4 F4 E4 D4";
const E: &str = "sb E4 C4 D4 C4 A3 A4 G4 E4 F4 E4";
const F: &str = "sb F3 G3 A3 F3 D3 E3 F3 C4 A3 F3 G3 F3";
const G: &str = "sb G3 C4 B3 G3 C4 E4 D4 G4 E4 C4 D4 B3 A3 G3";
const A: &str = "sb A3 C4 B3 D4 C4 E4 F4 E4 D4 C4 B3 A3";
const C: &str = "sb C4 E4 F4 G4 E4 A4 G4 E4 F4 E4 D4 C4";

/// Upper voice and lower voice.
type Exercise = [&'static str; 2];

const FIRST: [Exercise; 7] = [
    // His.
    ["sb A4 A4 G4 A4 B4 C5 C5 B4 D5 C#5 D5", D],
    [D, "sb D3 D3 A3 F3 E3 D3 F3 C4 D4 C#4 D4"],
    ["sb B4 C5 F4 G4 A4 C5 B4 E5 D5 E5", E],
    // Ours.
    ["sb C4 B3 C4 D4 F4 G4 A4 G4 F4 A4 E4 F4", F],
    ["sb G4 E4 G4 B4 A4 G4 B4 B4 C5 E5 F5 D5 F#5 G5", G],
    ["sb E4 E4 G4 F4 A4 G4 A4 C5 B4 A4 G#4 A4", A],
    ["sb G4 G4 A4 B4 C5 C5 B4 C5 D5 C5 B4 C5", C],
];

const SECOND: [Exercise; 2] = [
    ["mn _ A4 D5 A4 G4 A4 B4 A4 B4 E5 D5 A4 C5 E5 B4 G4 D5 A4 B4 C#5 sb D5", D],
    ["mn _ G4 C5 B4 A4 C5 B4 D5 C5 B4 C5 E5 B4 D5 C5 G4 A4 D5 C5 G4 A4 B4 sb C5", C],
];

const THIRD: [Exercise; 1] = [[
    "sm A4 B4 C5 D5 C5 D5 C5 A4 G4 A4 B4 G4 A4 F4 G4 A4 B4 C5 D5 B4 A4 B4 C5 A4 C5 D5 E5 C5 \
     B4 C5 D5 B4 A4 B4 C5 D5 G4 A4 B4 C#5 sb D5",
    D,
]];

const FOURTH: [Exercise; 2] = [
    ["mn _ sb A4 D5 C5 B4 E5 D5 C5 mn B4 A4 sb D5 mn C#5 sb D5", D],
    ["mn _ sb E4 A4 G4 F4 E4 C5 D5 C5 B4 A4 mn G#4 sb A4", A],
];

const FIFTH: [Exercise; 1] = [[
    "mn _ sb A4 mn D5. sm C5 mn C5 sm B4 C5 D5 A4 mn B4 sb E5 mn D5 sm C5 D5 E5 C5 B4 C5 D5 B4 \
     mn A4 D5. fu C#5 B4 mn C#5 sb D5",
    D,
]];

/// What the species rules find: when, in minims, how much it weighs, and the rule.
fn found(exercise: &Exercise) -> Vec<(Severity, String)> {
    let [upper, lower] = exercise;
    let text = format!("voice Upper clef C1\n {upper}\nvoice Lower clef C4\n {lower}\n");
    let (piece, score) = scored(&text);
    let ends = score.voices.iter().map(|voice| voice.events.last().unwrap().onset);
    let ends: Vec<_> = ends.collect();
    assert_eq!(ends[0], ends[1], "both end together: {upper}");
    let judged = judge(&piece, &score, RuleSet::Species);
    let said = |found: &counterpoint::study::Finding| {
        (found.severity, format!("{}: {}", found.at, found.rule.name()))
    };
    judged.findings.iter().map(said).collect()
}

fn faults(exercise: &Exercise) -> Vec<String> {
    let found = found(exercise).into_iter();
    found.filter(|(severity, _)| *severity == Severity::Fault).map(|(_, said)| said).collect()
}

/// Nothing above a remark: not even a licence.
#[test]
fn solutions_of_all_species_are_without_fault() {
    let all = [&FIRST[..], &SECOND, &THIRD, &FOURTH, &FIFTH].concat();
    assert!(all.len() >= 12);
    for exercise in all {
        let above: Vec<_> = found(&exercise)
            .into_iter()
            .filter(|(severity, _)| *severity > Severity::Remark)
            .collect();
        assert_eq!(above, [], "{}", exercise[0]);
    }
}

/// Notes of an exercise changed so that there is one fault.
#[test]
fn a_planted_fault_is_found_alone() {
    let plant = |exercise: Exercise, from: &str, to: &str| -> Vec<String> {
        assert_eq!(exercise[0].matches(from).count(), 1, "{from} in {}", exercise[0]);
        let upper = exercise[0].replace(from, to);
        let upper: &'static str = Box::leak(upper.into_boxed_str());
        faults(&[upper, exercise[1]])
    };
    let [first, .., of_c] = FIRST;
    let of_g = FIRST[4];
    let cases = [
        // First species: two fifths, two octaves, a dissonance, a fifth reached in the same
        // direction, fifth to twelfth, a unison in the midst, a seventh and a tritone in the melody.
        (first, "sb A4 A4 G4", "sb A4 C5 G4", "2: parallel-fifths"),
        (first, "sb A4 A4 G4 A4 B4", "sb D5 F5 C5 D5 B4", "2: parallel-octaves"),
        (first, "sb A4 A4 G4", "sb A4 G4 G4", "2: untreated-dissonance"),
        (first, "sb A4 A4 G4", "sb F4 C5 G4", "2: direct-fifth"),
        (of_g, "B4 B4 C5 E5 F5", "B4 B4 B4 G5 F5", "18: contrary-fifths"),
        (first, "sb A4 A4 G4", "sb A4 F4 G4", "2: unison"),
        (of_c, "A4 B4 C5 C5 B4", "A4 B4 C4 C5 B4", "8: seventh"),
        (of_g, "A4 G4 B4 B4", "A4 G4 F4 B4", "14: augmented-interval"),
        // Second species: a dissonance on the beat; one that is leapt to; a note that is not divided,
        // and one that is struck again, as the fifth species has them.
        (SECOND[0], "C5 E5 B4", "D5 E5 B4", "12: untreated-dissonance"),
        (SECOND[0], "G4 D5 A4 B4", "G4 D5 G4 B4", "17: untreated-dissonance"),
        (SECOND[0], "mn _ A4 D5 A4 G4", "mn _ A4 sb D5 mn G4", "2: other-value"),
        (SECOND[0], "D5 A4 G4 A4 B4", "D5 A4 G4 G4 B4", "5: repeated-note"),
        // Third: one that is leapt to; a note that is struck again.
        (THIRD[0], "A4 F4 G4 A4", "A4 E4 F4 A4", "13/2: untreated-dissonance"),
        (THIRD[0], "G4 A4 B4 G4 A4 F4", "G4 A4 G4 G4 A4 F4", "11/2: repeated-note"),
        // Fourth: a suspension that is left by leap.
        (FOURTH[0], "A4 D5 C5 B4", "A4 D5 B4 D5", "4: untreated-dissonance"),
        // Fifth: the same.
        (FIFTH[0], "sb E5 mn D5 sm C5", "sb E5 mn C5 sm C5", "10: untreated-dissonance"),
    ];
    for (exercise, from, to, expected) in cases {
        assert_eq!(plant(exercise, from, to), [expected], "{from} to {to}");
    }
}
