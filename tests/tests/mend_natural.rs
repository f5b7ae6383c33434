//! The natural slips in the open data: two part-books of 1582 as they were encoded, with slips
//! that the modern edition of the same pieces shows. Source: the SEILS dataset (Parada-Cabaleiro
//! et al., ISMIR 2017 and 2019); the README of the open data names the events.

use counterpoint::mend::{Suggestion, mend};
use score::BarLength;
use suite::{aligned, madrigal_parts, opendata};

fn suggestions(opendata: &std::path::Path, piece: &str) -> Vec<Suggestion> {
    let text = madrigal_parts(opendata, piece);
    let (score, _) = aligned(&text, BarLength::Breve);
    mend(&text, &notation::parse(&text).piece, &score)
}

/// Events 40 and 41 of the Bassus, a dotted pair, have half their values.
#[test]
fn a_dotted_pair_of_half_its_values() {
    let Some(opendata) = opendata() else { return };
    let found = suggestions(&opendata, "giovannelli_nelfoco");
    let first = &found[0];
    assert_eq!((first.name.as_str(), first.index), ("Bassus", Some(40)));
    assert_eq!((first.printed.as_str(), first.read.as_str()), ("fu G. .A", "sm G. .A"));
    assert!(first.confidence > 0.5, "{}", first.confidence);
    assert!(first.reason.starts_with("Bassus is half a minim short; "), "{}", first.reason);
}

/// Among events 42 to 45 of the Altus there are two minims of rest too many.
#[test]
fn two_minims_of_rest_too_many() {
    let Some(opendata) = opendata() else { return };
    let found = suggestions(&opendata, "belli_amorcon");
    let slip = found.iter().take(3).find(|found| {
        found.name == "Altus" && found.index.is_some_and(|index| (42..=45).contains(&index))
    });
    let slip = slip.unwrap_or_else(|| panic!("{found:#?}"));
    assert_eq!((slip.printed.as_str(), slip.read.as_str()), ("sb _", ""));
}
