//! Cadences: a list of short ones of all kinds, and the open data.

use counterpoint::study::cadences;
use score::{BarLength, Score, align, reckon};
use suite::cadences::{CadenceCase, cadence_cases, read_cadences, told};

fn score(case: &CadenceCase) -> Score {
    align(&case.piece, reckon(&case.piece), BarLength::Breve).score
}

/// All fields of all cases are as they should be.
#[test]
fn every_cadence_of_the_list() {
    let mut wrong = String::new();
    let cases = cadence_cases();
    for case in &cases {
        let score = score(case);
        let found = cadences::of(&case.piece, &score);
        let found: Vec<String> =
            found.iter().map(|cadence| told(cadence, &score).to_string()).collect();
        if found != case.expected {
            wrong += &format!("{}\n  expected {:#?}\n  found {found:#?}\n", case.name, case.expected);
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
    assert!(cases.len() >= 40);
}

/// What the list expects is what a reader finds that knows pitches and times alone.
#[test]
fn the_list_is_true() {
    let mut wrong = String::new();
    for case in cadence_cases() {
        let found = read_cadences(&score(&case));
        if found != case.expected {
            wrong += &format!("{}\n  expected {:#?}\n  read {found:#?}\n", case.name, case.expected);
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}
