//! Rows of the catalogue against what the open data says by itself: the encoded parts and scores, read here
//! by an XML parser alone.

use cartella::{BarLength, Document, RuleSet};
use catalogue::{Question, Row};
use roxmltree::Node;
use suite::melodies::{Sung, duration, real_melodies, stretch, transposed, typed};
use suite::{
    MADRIGALS, PARTS, duos, madrigal, madrigal_parts, opendata, read_score, sounding_voices,
};

fn row_of(text: &str) -> Row {
    let document = Document::parse(text);
    let aligned = document.score(BarLength::Breve);
    Row::of(&aligned, &aligned.study(RuleSet::default()))
}

/// A part as it is encoded.
struct Part {
    clef: String,
    signature: &'static str,
    /// Its notes: staff steps above C0.
    rungs: Vec<i32>,
}

fn rung(letter: char, octave: i32) -> i32 {
    let letter = letter.to_ascii_uppercase();
    octave * 7 + "CDEFGAB".find(letter).unwrap() as i32
}

/// Reads a part in MEI: what stands at the beginning of its staff, and its notes in their order.
fn part(xml: &str) -> Part {
    let document = roxmltree::Document::parse(xml).unwrap();
    let all = || document.descendants().filter(Node::is_element);
    let staff = all().find(|node| node.tag_name().name() == "staffDef").unwrap();
    let said = |name: &str| staff.attribute(name).unwrap();
    let notes = all().filter(|node| node.tag_name().name() == "note").map(|note| {
        let letter = note.attribute("pname").unwrap().chars().next().unwrap();
        rung(letter, note.attribute("oct").unwrap().parse().unwrap())
    });
    Part {
        clef: format!("{}{}", said("clef.shape"), said("clef.line")),
        signature: match said("key.sig") {
            "0" => "none",
            "1f" => "Bb",
            other => panic!("{other}"),
        },
        rungs: notes.collect(),
    }
}

/// The two usual combinations of clefs (common practice, no source).
fn cleffing(clefs: &[String]) -> Option<&'static str> {
    let all = |set: &[&str]| clefs.iter().all(|clef| set.contains(&clef.as_str()));
    let has = |clef: &str| clefs.iter().any(|one| one == clef);
    match () {
        () if all(&["C1", "C3", "C4", "F4"]) && has("C1") => Some("low"),
        () if all(&["G2", "C2", "C3", "C4", "F3"]) && has("G2") => Some("high"),
        () => None,
    }
}

/// The letter of the lowest last note.
fn last(voices: &[Vec<i32>]) -> String {
    let lowest = voices.iter().map(|voice| *voice.last().unwrap()).min().unwrap();
    "CDEFGAB"[lowest.rem_euclid(7) as usize..][..1].to_owned()
}

fn rungs(row: &Row) -> Vec<Vec<i32>> {
    row.voices.iter().map(|voice| voice.notes.iter().map(|note| note.rung).collect()).collect()
}

#[test]
fn the_rows_of_the_madrigals() {
    let Some(opendata) = opendata() else { return };
    let mut combinations = Vec::new();
    for piece in MADRIGALS {
        let row = row_of(&madrigal_parts(&opendata, piece));
        let parts: Vec<Part> = PARTS
            .iter()
            .map(|name| part(&madrigal(&opendata, piece, &format!("{name}.mei"))))
            .collect();
        let encoded: Vec<Vec<i32>> = parts.iter().map(|part| part.rungs.clone()).collect();
        let clefs: Vec<String> = parts.iter().map(|part| part.clef.clone()).collect();
        let told: Vec<&str> = row.voices.iter().map(|voice| voice.clef.as_str()).collect();
        assert_eq!(told, clefs, "{piece}");
        assert_eq!(row.clefs.as_deref(), cleffing(&clefs), "{piece}: {clefs:?}");
        let flats = parts.iter().filter(|part| part.signature == "Bb").count();
        assert_eq!(row.signature, if flats > 2 { "Bb" } else { "none" }, "{piece}");
        // All these pieces end on the step on which their lowest voice does.
        assert_eq!(row.last.as_deref(), Some(last(&encoded).as_str()), "{piece}");
        assert_eq!(rungs(&row), encoded, "{piece}");
        assert_eq!(row.sounding.1, 5, "{piece}");
        combinations.push(row.clefs);
    }
    // Both combinations are among them, so that the comparison says something.
    for wanted in ["low", "high"] {
        let count = combinations.iter().filter(|one| one.as_deref() == Some(wanted)).count();
        assert!(count >= 3, "{wanted}: {count}");
    }
}

#[test]
fn the_rows_of_the_duos() {
    let Some(opendata) = opendata() else { return };
    for (name, xml) in duos(&opendata) {
        let row = row_of(&read_score(&name, xml.as_bytes(), None));
        let encoded: Vec<Vec<i32>> = sounding_voices(&xml)
            .iter()
            .map(|voice| voice.notes.iter().map(|note| rung(note.step, note.octave)).collect())
            .collect();
        assert_eq!((row.voices.len(), encoded.len()), (2, 2), "{name}");
        assert_eq!(rungs(&row), encoded, "{name}");
        assert_eq!(row.last.as_deref(), Some(last(&encoded).as_str()), "{name}");
    }
}

/// A melody of the open data, and the same at an interval after a delay; nothing if that has fewer than
/// twelve notes, of which some are found as entries.
fn canon(dux: &[Sung], steps: i32, delay: i64) -> Option<String> {
    let mut comes = vec![Sung::rest(cartella::Time::minims(delay))];
    comes.extend(transposed(dux, steps));
    let comes = stretch(&comes, cartella::Time::ZERO, duration(dux));
    let notes = comes.iter().filter(|note| note.pitch.is_some()).count();
    (notes >= 12).then(|| typed(&[dux.to_vec(), comes]))
}

/// Canons made of real melodies are in their rows, and found by what was planted and by nothing else.
#[test]
fn canons_that_are_planted_are_found() {
    let Some(opendata) = opendata() else { return };
    let material = real_melodies(&opendata);
    let ways = [(4, "5 above", 2), (-3, "4 below", 4), (-7, "8 below", 8), (0, "unison", 6)];
    let mut count = 0;
    for ((piece, voices), (steps, said, delay)) in
        material.iter().step_by(2).zip(ways.iter().cycle())
    {
        let Some(text) = canon(&voices[0], *steps, *delay) else { continue };
        let row = row_of(&text);
        let canons: Vec<_> =
            row.canons.iter().map(|one| (one.steps, one.delay.to_string())).collect();
        assert_eq!(canons, [(*steps, delay.to_string())], "{piece}");
        let finds = |asked: String| {
            let imitation = Some(asked.parse().unwrap());
            Question { imitation, ..Question::default() }.answer(&row).is_some()
        };
        assert!(finds(format!("{said} after {delay}")), "{piece}");
        assert!(!finds(format!("{said} after {}", delay + 1)), "{piece}");
        assert!(!finds(format!("2 above after {delay}")), "{piece}");
        count += 1;
    }
    assert!(count >= 12, "{count} canons");
}
