//! The audit finds nothing on any piece, in any layout: no overlaps, no short stems, nothing
//! outside the page.

use engrave::{Finding, Look, audit};
use notation::{MarkColor, MarkShape, parse};
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

/// The text with marks of all shapes and colours on every voice, which lie over one another.
fn marked(text: &str) -> String {
    let piece = parse(text).piece;
    let mut marks = String::new();
    let mut number = 0;
    for voice in &piece.voices {
        let count = voice.items.iter().filter_map(|item| item.event()?.index).max().unwrap_or(0);
        for first in (1..=count).step_by(5).take(50) {
            let shape = MarkShape::TYPED[number % 3];
            let color = MarkColor::ALL.get(number % 7).map_or("", |color| color.word());
            let last = (first + number as u32 % 9).min(count);
            marks += &format!("mark {} {first}-{last} {shape} {color} \"{number}\"\n", voice.name);
            number += 1;
        }
    }
    assert!(number > 2);
    marks + text
}

#[test]
fn nothing_on_marked_pieces() {
    for (name, text) in fixtures() {
        if text.len() > 400 {
            assert_eq!(found(&marked(&text)), [] as [String; 0], "{name}");
        }
    }
    let Some(opendata) = opendata() else { return };
    for piece in MADRIGALS.into_iter().take(3) {
        let text = marked(&madrigal_parts(&opendata, piece));
        assert!(!parse(&text).has_errors());
        assert_eq!(found(&text), [] as [String; 0], "{piece}");
    }
}

#[test]
fn nothing_on_the_madrigals() {
    let Some(opendata) = opendata() else { return };
    for piece in MADRIGALS {
        let found = found(&madrigal_parts(&opendata, piece));
        assert_eq!(found, [] as [String; 0], "{piece}");
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
