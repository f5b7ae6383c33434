//! What an SVG file holds beside its looks: drawings that stand once, words as text, the time of every
//! note; and how large it is.

use std::collections::BTreeMap;

use engrave::{Look, Mm, live_svg, svg};
use notation::LineIndex;
use roxmltree::{Document, Node};
use suite::{LAYOUTS, MADRIGALS, aligned, drawn, fixtures, madrigal_parts, opendata, rendered};

fn written(text: &str, look: &Look) -> String {
    let index = LineIndex::new(text);
    svg(&drawn(text, LAYOUTS[0], look), &|span| index.line(span.start))
}

/// The drawings of a file by their ids.
fn definitions(xml: &str) -> BTreeMap<String, String> {
    let document = Document::parse(xml).unwrap();
    let all = document.descendants();
    let defined = all.filter(|node| node.tag_name().name() == "defs").flat_map(|defs| {
        let of_node = |node: Node<'_, '_>| {
            (node.attribute("id").unwrap().to_owned(), xml[node.range()].to_owned())
        };
        defs.children().filter(Node::is_element).map(of_node).collect::<Vec<_>>()
    });
    let mut definitions = BTreeMap::new();
    for (id, drawing) in defined {
        assert!(definitions.insert(id.clone(), drawing).is_none(), "{id} is defined twice");
    }
    for node in document.descendants() {
        let Some(to) = node.attribute("href") else { continue };
        assert!(definitions.contains_key(&to[1..]), "{to} is not defined");
    }
    definitions
}

/// An id means the same drawing in every piece and at every size: so no edit changes it, and several
/// pictures may stand in one document.
#[test]
fn an_id_is_one_drawing() {
    let mut all: BTreeMap<String, String> = BTreeMap::new();
    for (name, text) in fixtures() {
        for staff in [Look::STAFF, Mm(4.0), Look::LARGE_STAFF] {
            for (id, drawing) in definitions(&written(&text, &Look { staff, ..Look::default() })) {
                let before = all.entry(id.clone()).or_insert_with(|| drawing.clone());
                assert_eq!(*before, drawing, "{name}: {id}");
            }
        }
    }
    assert!(all.len() > 100, "{}", all.len());
}

/// The first group of each note and rest says when it begins, as the score has it.
#[test]
fn every_note_has_its_time() {
    for (name, text) in fixtures() {
        let xml = written(&text, &Look::default());
        let document = Document::parse(&xml).unwrap();
        let mut times: BTreeMap<(String, u32), String> = BTreeMap::new();
        for note in document.descendants().filter(|node| node.has_attribute("data-index")) {
            let voice = note.parent().unwrap().attribute("data-voice").unwrap().to_owned();
            let index = note.attribute("data-index").unwrap().parse().unwrap();
            let time = note.attribute("data-time").unwrap().to_owned();
            times.entry((voice, index)).or_insert(time);
        }
        let (score, _) = aligned(&text, LAYOUTS[0].bar);
        for voice in &score.voices {
            for event in voice.events.iter().filter(|event| !event.is_rest()) {
                let Some(index) = event.index else { continue };
                let time = &times[&(voice.name.clone(), index)];
                assert_eq!(*time, event.onset.to_string(), "{name}, {} {index}", voice.name);
            }
        }
    }
}

#[test]
fn words_are_text() {
    let text = "title A & B\ncomposer C. D.\nvoice Cantus clef C1\n  sb A4 \"tutti\" B br C5\n";
    let xml = written(text, &Look::default());
    let document = Document::parse(&xml).unwrap();
    let texts = document.descendants().filter(|node| node.has_tag_name("text"));
    let texts: Vec<&str> = texts.filter_map(|node| node.text()).collect();
    assert_eq!(texts, ["A & B", "C. D.", "tutti"]);
}

/// On average, the SVG files of the twelve madrigals had 234 885 bytes while every head, stem and ledger
/// line was an element of its own, with no drawing but those of single signs.
#[test]
fn madrigals_take_half_the_room() {
    let Some(opendata) = opendata() else { return };
    let sizes =
        MADRIGALS.map(|piece| written(&madrigal_parts(&opendata, piece), &Look::default()).len());
    let average = sizes.iter().sum::<usize>() / sizes.len();
    println!("{average} bytes on average: {sizes:?}");
    assert!(average <= 234_885 / 2, "{average}");
}

/// What is drawn where it stands looks as what is referred to: a hole where outlines overlap would be seen.
#[test]
fn the_live_picture_looks_the_same() {
    for (name, text) in fixtures().into_iter().take(3) {
        let picture = drawn(&text, LAYOUTS[0], &Look::default());
        let live = live_svg(&picture);
        assert!(!live.contains("<use "), "{name}");
        let referred = rendered(&svg(&picture, &|_| 1), 24.0);
        let difference = rendered(&live, 24.0).worst_square(&referred, 3);
        assert!(difference < 60, "{name}: {difference}");
    }
}
