//! One case for each figure.

use crate::study::judged::judge;
use crate::study::rules::RuleSet;
use crate::study::testing::{scored, voices};

/// All dissonances of a piece: when, in minims, and how they are treated.
fn figures_by(rules: RuleSet, music: &[&str]) -> Vec<String> {
    let (piece, score) = scored(&voices(music));
    let judged = judge(&piece, &score, rules).dissonances;
    let said = judged.pairs.iter().map(|pair| {
        let judgement = pair.judgement.map_or("free", |severity| severity.name());
        format!("{} {}: {}", pair.at, pair.figure.name(), judgement)
    });
    said.collect()
}

fn figures(music: &[&str]) -> Vec<String> {
    figures_by(RuleSet::About1560, music)
}

const CONSONANT: [&str; 0] = [];

/// Fux, second and third species; Zarlino III, ch. 42 (from memory).
#[test]
fn passing_notes_and_neighbours() {
    let over_c = |upper| figures(&[upper, "br C4 sb C4"]);
    assert_eq!(over_c("mn E5 D5 sb C5 br E5"), ["1 passing note: free"]);
    assert_eq!(over_c("sm E5 D5 mn E5 sb C5 br E5"), ["1/2 neighbour: free"]);
    assert_eq!(over_c("mn E5 D5 sb E5 br E5"), ["1 neighbour: licence"]);
    assert_eq!(over_c("sb E5 D5 C5"), ["2 passing note: fault"]);
}

/// Jeppesen, *The Style of Palestrina and the Dissonance* (from memory).
#[test]
fn anticipation_cambiata_and_escaped_note() {
    let over_c = |rules, upper| figures_by(rules, &[upper, "br C4 sb C4"]);
    let [old, new] = [RuleSet::About1500, RuleSet::About1560];
    let anticipation = "mn E5. sm D5 mn D5 C5 sb C5";
    assert_eq!(over_c(new, anticipation)[0], "3/2 anticipation: free");
    let cambiata = "mn C5 B4 G4 A4 sb G4";
    assert_eq!(over_c(new, cambiata), ["1 cambiata: free"]);
    let without = "mn C5 B4 G4 E4 sb G4";
    assert_eq!(over_c(old, without), ["1 cambiata without its last step: free"]);
    assert_eq!(over_c(new, without), ["1 cambiata without its last step: fault"]);
    let escaped = "sm C5 D5 mn G4 sb A4 G4";
    assert_eq!(over_c(old, escaped), ["1/2 escaped note: free"]);
    assert_eq!(over_c(new, escaped), ["1/2 escaped note: fault"]);
}

#[test]
fn suspensions_and_their_ornaments() {
    let lower = "mn C4 E4 sb D4 C4";
    assert_eq!(figures(&["mn E5 sb C5 mn B4 sb C5", lower]), ["2 suspension: free"]);
    assert_eq!(figures(&["mn E5 C5 C5 B4 sb C5", lower]), ["2 suspension struck again: free"]);
    let third_below = ["mn E5 C5. sm A4 mn B4 sb C5", "mn C4 E4 sb D4 C4", "mn A3 A3 sb B3 C4"];
    assert!(figures(&third_below).contains(&"5/2 ornament of a resolution: free".to_owned()));
}

/// The other voice may move while a note is suspended.
#[test]
fn a_suspension_goes_on_while_the_other_voice_moves() {
    assert_eq!(
        figures(&["mn E5 sb C5 mn B4 sb C5", "mn C4 E4 sm D4 B3 mn G4 sb C4"]),
        ["2 suspension: free", "5/2 suspension: free"]
    );
}

#[test]
fn the_consonant_fourth_over_a_held_note() {
    assert_eq!(figures(&["mn B4 sb C5 mn B4 sb C5", "br G3 sb C4"]), ["1 consonant fourth: free"]);
    // On the beat.
    assert_eq!(figures(&["sb B4 C5 B4", "br G3 sb G3"]), ["2 neighbour: fault"]);
}

#[test]
fn six_five() {
    assert_eq!(
        figures(&["sb A4 D5 D5", "mn D4 sb C5 mn B4 sb A4", "mn D4 sb F4 mn G4 sb D4"]),
        ["2 six-five: free"]
    );
}

/// Zarlino III, ch. 30 and 61 of the semidiapente that goes inward to a third (from memory).
#[test]
fn a_false_fifth_goes_inward() {
    let said = "2 false fifth or tritone that both voices leave by step: free";
    assert_eq!(figures(&["sb G4 F4 E4", "sb C4 B3 C4"]), [said]);
    assert_eq!(figures(&["sb G4 F4 G4", "sb C4 B3 C4"]).len(), 1);
    assert_ne!(figures(&["sb G4 F4 G4", "sb C4 B3 C4"]), [said]);
}

/// A fourth between upper voices passes while a lower note sounds with which both are consonant, and
/// is laid bare when that ends.
#[test]
fn fourths_over_a_lower_voice() {
    assert_eq!(figures(&["br C5", "br G4", "br C4"]), CONSONANT);
    assert_eq!(figures(&["br C5", "br G4", "br E4"]), CONSONANT);
    assert_eq!(figures(&["br C5", "br G4", "sb C4 _"]), ["2 fourth laid bare: remark"]);
    assert_eq!(figures(&["sb C5", "sb G4"]), ["0 untreated: fault"]);
}

#[test]
fn both_struck() {
    assert_eq!(
        figures(&["sb C5 mn C5 sm B4 A4 mn B4 sb C5", "sb F4 mn F4 D4 G4 sb C4"])
            .iter()
            .filter(|said| said.contains("fault"))
            .count(),
        0
    );
    assert_eq!(figures(&["sb C5 D5", "sb F4 C4"]), ["2 untreated: fault"]);
}

/// Simultaneities are counted where at least two voices sound and one begins.
#[test]
fn simultaneities() {
    let (piece, score) = scored(&voices(&["sb _ D5 mn _ D5", "mn D4 _ F4 G4 sb D4"]));
    let judged = judge(&piece, &score, RuleSet::About1560).dissonances;
    assert_eq!((judged.simultaneities, judged.untreated), (3, 0));
}
