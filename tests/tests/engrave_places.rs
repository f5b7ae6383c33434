//! Every note of the score stands in the SVG, where its staff's lines and clef say its pitch: read
//! from the file by a general XML parser, with nothing else of the program.

use std::collections::BTreeMap;

use engrave::{Look, svg};
use notation::LineIndex;
use roxmltree::{Document, Node};
use rudiments::{Clef, Tone};
use suite::{
    LAYOUTS, Layout, MADRIGALS, aligned, drawn, duos, fixtures, madrigal_parts, opendata,
    read_score,
};

/// A staff as its lines are drawn.
struct Staff {
    clef: Clef,
    /// The clefs that follow, with the places from which they hold.
    changes: Vec<(f64, Clef)>,
    octave: i32,
    /// From the top of the page to its lowest line.
    bottom: f64,
    space: f64,
}

fn attribute<'a>(node: Node<'a, '_>, name: &str) -> &'a str {
    node.attribute(name).unwrap_or_else(|| panic!("no {name} in {node:?}"))
}

impl Staff {
    fn read(node: Node<'_, '_>) -> Staff {
        let lines: Vec<f64> = attribute(node, "d")
            .split('M')
            .skip(1)
            .map(|line| line.split([' ', 'H']).nth(1).unwrap().parse().unwrap())
            .collect();
        assert_eq!(lines.len(), 5);
        Staff {
            clef: Clef::parse(attribute(node, "data-clef")).unwrap(),
            changes: node
                .attribute("data-clef-changes")
                .map(|changes| changes.split(' ').collect::<Vec<_>>())
                .unwrap_or_default()
                .chunks(2)
                .map(|change| (change[1].parse().unwrap(), Clef::parse(change[0]).unwrap()))
                .collect(),
            octave: node.attribute("data-octave").map_or(0, |octave| octave.parse().unwrap()),
            bottom: lines[4],
            space: (lines[4] - lines[0]) / 4.0,
        }
    }

    /// The tone of a head at a place of the page.
    fn tone(&self, (x, y): (f64, f64)) -> Tone {
        let steps = (self.bottom - y) / (self.space / 2.0);
        assert!((steps - steps.round()).abs() < 0.05, "a head stands between two places: {steps}");
        let clef = self.changes.iter().rfind(|(from, _)| *from < x).map_or(self.clef, |now| now.1);
        clef.tone_at(2 + steps.round() as i32).up(7 * self.octave)
    }
}

/// Whether a drawing is referred to whose name is that of a head, `h2` or `h2u14`; a sign of mensuration
/// has a longer name that begins as well with an `h`.
fn is_head(node: &Node<'_, '_>) -> bool {
    let drawing = node.attributes().find(|attribute| attribute.name() == "href");
    drawing.is_some_and(|id| id.value().starts_with("#h") && !id.value().starts_with("#half"))
}

/// For each voice and index: the tones of all its heads, sorted, each once.
fn read(xml: &str) -> BTreeMap<(String, u32), Vec<Tone>> {
    let document = Document::parse(xml).unwrap();
    let mut tones: BTreeMap<(String, u32), Vec<Tone>> = BTreeMap::new();
    let systems = document.root_element().children().filter(|node| node.has_tag_name("g"));
    for system in systems {
        let staves: Vec<Staff> = system
            .children()
            .filter(|node| node.attribute("class") == Some("staff"))
            .map(Staff::read)
            .collect();
        let of_voices = system.children().filter(|node| node.has_attribute("data-voice"));
        for (voice, note) in of_voices.flat_map(|voice| voice.children().map(move |n| (voice, n))) {
            let Some(index) = note.attribute("data-index") else { continue };
            let staff = &staves[attribute(voice, "data-staff").parse::<usize>().unwrap() - 1];
            assert!(attribute(voice, "data-line").parse::<u32>().unwrap() > 0);
            let key = (attribute(voice, "data-voice").to_owned(), index.parse().unwrap());
            let of_note = tones.entry(key).or_default();
            for head in note.children().filter(is_head) {
                let tone =
                    staff.tone(["x", "y"].map(|at| attribute(head, at).parse().unwrap()).into());
                if !of_note.contains(&tone) {
                    of_note.push(tone);
                }
            }
            of_note.sort();
        }
    }
    tones
}

fn compare(name: &str, text: &str, layout: Layout) -> usize {
    let index = LineIndex::new(text);
    let picture = drawn(text, layout, &Look::default());
    let mut heads = read(&svg(&picture, &|span| index.line(span.start)));
    let (score, _) = aligned(text, layout.bar);
    let mut notes = 0;
    for voice in &score.voices {
        for event in &voice.events {
            // What is supplied has no number.
            let Some(number) = event.index else { continue };
            let mut tones: Vec<Tone> = event.notes.iter().map(|note| note.pitch.tone).collect();
            tones.sort();
            tones.dedup();
            notes += tones.len();
            // Rests that are joined to one are shown under the number of the first.
            let shown = heads.remove(&(voice.name.clone(), number));
            if !event.is_rest() || shown.is_some() {
                assert_eq!(shown, Some(tones), "{name}, {layout:?}, {} {number}", voice.name);
            }
        }
    }
    assert_eq!(heads, BTreeMap::new(), "{name}, {layout:?}: more than the score has");
    notes
}

#[test]
fn fixtures_in_all_layouts() {
    for (name, text) in fixtures() {
        for layout in LAYOUTS {
            assert!(compare(&name, &text, layout) > 0);
        }
    }
}

#[test]
fn open_data_in_all_layouts() {
    let Some(opendata) = opendata() else { return };
    let mut pieces: Vec<(String, String)> = MADRIGALS
        .into_iter()
        .map(|piece| (piece.to_owned(), madrigal_parts(&opendata, piece)))
        .collect();
    pieces.extend(duos(&opendata).into_iter().map(|(name, xml)| {
        let text = read_score(&name, xml.as_ref(), None);
        (name, text)
    }));
    let mut notes = 0;
    for (name, text) in &pieces {
        for layout in LAYOUTS {
            notes += compare(name, text, layout);
        }
    }
    println!("{notes} notes");
    assert!(notes > 140_000);
}
