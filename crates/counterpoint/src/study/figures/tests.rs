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

/// The dot of a minim is dissonant, and goes down within its minim (common practice of the madrigal).
#[test]
fn a_suspension_within_a_weak_minim() {
    let music = ["mn D5. sm C5 sb B4 br C5", "mn B3 A3 sb D4 br C4"];
    assert_eq!(figures(&music), ["1 suspension within a weak minim: licence"]);
    assert_eq!(figures_by(RuleSet::Species, &music), ["1 suspension within a weak minim: fault"]);
    // By a leap, or up: nothing treats it.
    let leapt = ["mn D5. sm C5 sb B4 br C5", "mn D4 A3 sb D4 br C4"];
    assert_eq!(figures(&leapt), ["1 untreated: fault"]);
    let up = ["mn D5. sm E5 sb F5 br E5", "mn B3 A3 sb D4 br C4"];
    assert_eq!(figures(&up), ["1 escaped note: fault"]);
}

/// What is dissonant already may be doubled at the octave, even by a leap.
#[test]
fn a_doubled_dissonance() {
    let passing = "sm B3 C4 mn D4 sb E4";
    let leaps = "mn G4 sm D4. fu _ sb B4";
    assert!(!figures(&["sb D5 B4", leaps, passing]).iter().any(|said| said.ends_with("fault")));
    let music = ["mn D5 _ sb B4", "sm. G4 fu C5 mn B4 sb B4", passing];
    let free = ["1/2 passing note: free", "3/4 passing note: free"];
    assert_eq!(figures(&music)[..2], free);
    let at_once = ["mn D5 _ sb B4", "sm F4 C5 mn B4 sb B4", passing];
    assert!(figures(&at_once).contains(&"1/2 untreated: fault".to_owned()));
    let suspended = ["mn E5 sb C5 mn B4 sb C5", "mn C4 E4 sb D4 C4", "mn _ _ C5 sb B4 mn G4"];
    assert!(figures(&suspended).contains(&"2 untreated: fault".to_owned()));
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

/// A voice that strikes what the held lowest one has only doubles it, whichever stands above.
#[test]
fn a_doubled_lowest_note_under_a_consonant_fourth() {
    let music = ["mn B4 sb C5 mn B4 sb C5", "mn D4 G3 sb D4 C4", "br G3 sb C4"];
    let free = |said: &String| said.ends_with(": free");
    assert!(figures(&music).iter().all(free), "{:?}", figures(&music));
    let other = ["mn B4 sb C5 mn B4 sb C5", "br G3 sb C4", "mn D4 G3 sb D4 C4"];
    assert!(figures(&other).iter().all(free), "{:?}", figures(&other));
}

/// The fourth over a second: the lowest note is suspended, and its resolution carries both.
#[test]
fn a_fourth_over_a_suspended_lowest_note() {
    let music = ["mn D5 D5 sb D5 E5", "mn B4 D5 sb A4 G4", "mn G3 sb G4 mn F#4 sb C4"];
    assert_eq!(figures(&music), ["2 suspension: free"; 2]);
    let goes_elsewhere = ["mn D5 D5 sb D5 E5", "mn B4 D5 sb A4 G4", "mn G3 sb G4 mn B3 sb C4"];
    assert!(figures(&goes_elsewhere).contains(&"2 untreated: fault".to_owned()));
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

/// Of the keyboard, Santa María (from memory): the first fusa of each minim is judged, and no other.
#[test]
fn runs_are_judged_by_their_first_note() {
    let keyboard = |upper| figures_by(RuleSet::Keyboard, &[upper, "br C4 sb C4"]);
    // Each fusa leaps, so that it is nothing by itself.
    let run = "fu C5 F5 B4 D5 mn E5 sb C5 br C5";
    let said =
        |judgement| ["1/4", "1/2", "3/4"].map(|at| format!("{at} fusa within a run: {judgement}"));
    assert_eq!(keyboard(run), said("free"));
    assert_eq!(figures(&[run, "br C4 sb C4"]), said("fault"));
    let first = "fu F5 C5 E5 G5 mn E5 sb C5 br C5";
    assert_eq!(keyboard(first), ["0 untreated: fault"]);
    // After a semiminim a fusa is the first of its kind.
    assert_eq!(keyboard("sm C5 fu F5 C5 mn E5 sb C5 br C5"), ["1/2 untreated: fault"]);
}

/// Of the keyboard: one voice begins what another ends.
#[test]
fn a_voice_that_enters_as_another_falls_silent() {
    let keyboard = |music: &[&str]| figures_by(RuleSet::Keyboard, music);
    let enters = ["mn E5 _ sb _ E5", "mn _ D5 C5 E5 sb G5", "br C4 sb C4"];
    assert_eq!(keyboard(&enters), ["1 taken over by another voice: licence"]);
    assert_eq!(figures(&enters), ["1 taken over by another voice: fault"]);
    let leaves = ["mn E5 D5 _ _ sb E5", "sb _ C5 C5", "br C4 sb C4"];
    assert_eq!(keyboard(&leaves), ["1 taken over by another voice: licence"]);
    // A leap is no step, and a voice that goes on elsewhere hands nothing over.
    let leap = ["mn G5 _ sb _ E5", "mn _ D5 C5 E5 sb G5", "br C4 sb C4"];
    assert_eq!(keyboard(&leap), ["1 untreated: fault"]);
    let goes_on = ["mn E5 G5 sb E5 E5", "mn _ D5 C5 E5 sb G5", "br C4 sb C4"];
    assert_eq!(keyboard(&goes_on)[0], "1 untreated: fault");
}

/// Of the keyboard: the resolution of a suspension in another voice.
#[test]
fn a_suspension_resolved_in_another_voice() {
    let music = ["mn E5 sb C5 mn _ sb C5", "mn _ _ _ B4 sb G4", "mn C4 E4 sb D4 C4"];
    let keyboard = figures_by(RuleSet::Keyboard, &music);
    assert_eq!(keyboard, ["2 suspension resolved in another voice: licence"]);
    assert_eq!(figures(&music), ["2 passing note: fault"]);
    let nowhere = ["mn E5 sb C5 mn _ sb C5", "mn _ _ _ A4 sb G4", "mn C4 E4 sb D4 C4"];
    assert_eq!(figures_by(RuleSet::Keyboard, &nowhere), ["2 passing note: fault"]);
}
