//! Examples that are made of known subjects, intervals and delays: every one of these stands in the row,
//! and is found by it.

use cartella::invention::{Ending, Entry, row, write_out};
use cartella::{BarLength, Document, RuleSet, imitation_parts, subject};
use catalogue::{Cell, Place, Question, Row, Sought, Table, Topic};

fn row_of(text: &str) -> Row {
    let document = Document::parse(text);
    assert_eq!(document.diagnostics(), [], "{text}");
    let aligned = document.score(BarLength::Breve);
    Row::of(&aligned, &aligned.study(RuleSet::default()))
}

/// The cell of an example's row.
fn cell(row: &Row, column: &str) -> Cell {
    let table = Table(Topic::Examples);
    let place = table.columns().position(|one| one == column).unwrap();
    table.rows(Place { file: "a.parts" }, row)[0][place].clone()
}

/// Subjects of which each has a face of its own, and the entries with which it is planted.
const PLANTED: [(&str, &[&str]); 6] = [
    ("mn D4 A4 A G G F E G", &["5 above after 1"]),
    ("mn A4 B C D5 B C A4 D5", &["5 below after 1", "8 below after 5"]),
    ("sb D5 mn E D C B sb C mn D C", &["5 below after 2"]),
    ("sb D5. mn E D C sb B mn D A4 sb G", &["8 below after 4"]),
    ("mn A4 C5 B D5 sb A4 mn G B sb A", &["5 below after 4"]),
    ("mn G4 B B D5 B D D A4", &["8 below after 1"]),
];

/// All that can be planted: the subject, the entry, and the piece.
fn planted() -> Vec<(&'static str, Entry, Row)> {
    let mut all = Vec::new();
    for (line, entries) in PLANTED {
        let typed = subject(line).unwrap();
        for entry in entries.iter().map(|entry| Entry::parse(entry).unwrap()) {
            let Some(found) = row(&typed, entry) else { continue };
            let parts = write_out(&typed, &[entry], &found.signs, Ending::Cadence);
            let Some(parts) = parts else { continue };
            all.push((line, entry, row_of(&imitation_parts("Planted", &typed, &parts))));
        }
    }
    all
}

#[test]
fn every_planted_property_is_in_the_row() {
    let planted = planted();
    assert!(planted.len() >= 6, "{} were planted", planted.len());
    for (line, entry, row) in planted {
        let Cell::List(imitations) = cell(&row, "imitations") else { panic!("{line}") };
        assert!(imitations.contains(&entry.to_string()), "{line}: {imitations:?}");
        let Cell::List(steps) = cell(&row, "steps") else { panic!("{line}: {row:?}") };
        let notes = subject(line).unwrap();
        let moves = notes.notes().windows(2);
        let moves: Vec<i32> =
            moves.map(|two| two[1].pitch.tone.steps_above(two[0].pitch.tone)).collect();
        let told: Vec<i32> = steps.iter().map(|one| one.parse().unwrap()).collect();
        assert!(told.starts_with(&moves), "{line}: {told:?}");
        assert_eq!(row.cadences.len(), 1, "{line}");
    }
}

#[test]
fn each_is_found_by_its_subject_and_its_entry_and_no_other() {
    let planted = planted();
    for (line, entry, _) in &planted {
        let question = Question {
            subject: Sought::new(&subject(line).unwrap()),
            direct: true,
            imitation: Some(entry.to_string().parse().unwrap()),
            ..Question::default()
        };
        let found: Vec<(&str, Entry)> = planted
            .iter()
            .filter(|(_, _, row)| question.answer(row).is_some())
            .map(|(line, entry, _)| (*line, *entry))
            .collect();
        assert_eq!(found, [(*line, *entry)]);
    }
}

/// The same on another degree, turned over, and with a note between.
#[test]
fn a_subject_is_found_in_its_other_shapes() {
    let sought = Sought::new(&subject("sb D4 F mn E D sb F").unwrap());
    let question = Question { subject: sought, ..Question::default() };
    let distance = |music: &str| {
        let row = row_of(&format!("voice Cantus clef C1\n  {music}\n"));
        question.answer(&row).map(|hit| hit.distance)
    };
    assert_eq!(distance("sb G4 B mn A G sb B lg C"), Some(0));
    assert_eq!(distance("mn G4 B sb A G B lg C"), Some(1));
    assert_eq!(distance("mn G4 A sb B mn A G sb B lg C"), Some(2));
    assert_eq!(distance("sb G4 mn B. .C A G sb B lg C"), Some(2));
    assert_eq!(distance("sb G4 B mn C A G B lg C"), None); // what is between makes the rest late
    assert_eq!(distance("sb D5 B mn C D sb B lg A"), Some(4));
    assert_eq!(distance("mn D5 C sb B mn C D sb B lg A"), Some(6));
    assert_eq!(distance("sb G4 A B C lg D"), None);
}

#[test]
fn cadences_and_entries_upon_them() {
    let row = row_of(include_str!("../../../fixtures/two-duos.parts"));
    let ask = |cadence: &[&str], upon: &[&str]| {
        let goals = |typed: &[&str]| typed.iter().map(|one| one.parse().unwrap()).collect();
        let question =
            Question { cadences: goals(cadence), upon: goals(upon), ..Question::default() };
        question.answer(&row)
    };
    assert!(ask(&["D seventh"], &[]).is_some());
    assert!(ask(&["D seventh", "D fifth"], &[]).is_some());
    assert!(ask(&["D second"], &[]).is_none());
    assert!(ask(&["G"], &[]).is_none());
    let hit = ask(&[], &["D"]).unwrap();
    assert!(hit.why[0].starts_with("Bassus enters upon"), "{hit:?}");
    assert!(ask(&["D"], &["D fifth"]).is_none());
}

#[test]
fn rows_are_read_as_they_are_kept() {
    let row = row_of(include_str!("../../../fixtures/canon-at-the-fifth.parts"));
    let text = serde_json::to_string(&row).unwrap();
    let melodies = serde_json::to_string(&row.melodies()).unwrap();
    let read = serde_json::from_str::<Row>(&text).unwrap();
    assert!(read.voices.iter().all(|voice| voice.notes.is_empty()));
    assert_eq!(read.with_melodies(serde_json::from_str(&melodies).unwrap()), row);
}
