//! The audit finds nothing on any piece, in any layout: no overlaps, no short stems, nothing
//! outside the page.

use engrave::{Finding, Look, audit};
use suite::{LAYOUTS, MADRIGALS, drawn, duos, fixtures, madrigal_parts, opendata, read_score};

/// What is found on a piece, in all layouts, and in large print in two of them.
fn found(text: &str) -> Vec<String> {
    let large = Look { staff: Look::LARGE_STAFF, ..Look::default() };
    let mut found = Vec::new();
    let usual = LAYOUTS.map(|layout| (layout, Look::default()));
    for (layout, look) in usual.into_iter().chain([(LAYOUTS[0], large), (LAYOUTS[3], large)]) {
        let findings: Vec<Finding> = audit(&drawn(text, layout, &look));
        found.extend(findings.iter().map(|finding| format!("{layout:?}: {finding:?}")));
    }
    found
}

#[test]
fn nothing_on_the_fixtures() {
    for (name, text) in fixtures() {
        assert_eq!(found(&text), [] as [String; 0], "{name}");
    }
}

#[test]
fn nothing_on_the_madrigals() {
    let Some(opendata) = opendata() else { return };
    for piece in MADRIGALS {
        assert_eq!(found(&madrigal_parts(&opendata, piece)), [] as [String; 0], "{piece}");
    }
}

#[test]
fn nothing_on_the_duos() {
    let Some(opendata) = opendata() else { return };
    for (name, xml) in duos(&opendata) {
        let text = read_score(&name, xml.as_ref(), None);
        assert_eq!(found(&text), [] as [String; 0], "{name}");
    }
}
