//! `study`: what a piece does.

mod support;

use std::fs;
use std::path::Path;

use serde_json::Value;
use tempfile::TempDir;

/// A folder with a fixture in it, as piece.parts.
fn with(fixture: &str) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures");
    fs::copy(fixtures.join(fixture), folder.path().join("piece.parts")).unwrap();
    folder
}

fn run(folder: &TempDir, line: &str) -> (i32, String, String) {
    support::run(folder.path(), line)
}

const DUO: &str = "\
voice Cantus clef C1
  sb _ mn _ sb D5 mn C lg D //
voice Tenor clef C4
  sb D4 F E lg D //
";

#[test]
fn the_page_about_two_duos() {
    let (status, page, err) = run(&with("two-duos.parts"), "study piece.parts");
    assert_eq!((status, err.as_str()), (0, ""));
    insta::assert_snapshot!(page);
}

#[test]
fn parts_of_the_page_are_left_out() {
    let folder = with("two-duos.parts");
    let (_, page, _) = run(&folder, "study piece.parts --without practise,faults");
    assert!(!page.contains("Practise") && !page.contains("Faults"), "{page}");
    assert!(page.contains("Uncertain"), "{page}");
    let (status, _, err) = run(&folder, "study piece.parts --without chords");
    assert!(status == 2 && err.contains("practise"), "{err}");
}

#[test]
fn a_canon_is_one_thing() {
    let folder = with("canon-at-the-fifth.parts");
    let (_, answer, _) = run(&folder, "study piece.parts --format json");
    let answer: Value = serde_json::from_str(&answer).unwrap();
    assert_eq!(answer["imitations"].as_array().unwrap().len(), 1, "{answer:#}");
    let canon = &answer["imitations"][0];
    assert_eq!((&canon["steps"], &canon["delay"]), (&4.into(), &"4".into()));
    assert_eq!(answer["canons"][0]["followers"][0]["voice"], "Comes");
}

#[test]
fn entries_fall_upon_cadences() {
    let (_, answer, _) = run(&with("two-duos.parts"), "study piece.parts --format json");
    let answer: Value = serde_json::from_str(&answer).unwrap();
    let first = &answer["cadences"][0];
    assert_eq!(first["entries"][0]["before_goal"], "0");
    let entry = first["entries"][0]["entry"].as_u64().unwrap() as usize;
    assert_eq!(answer["entries"][entry - 1]["first"]["voice"], "Bassus");
    assert_eq!(answer["mode"]["final"], "D");
}

#[test]
fn signs_are_listed_and_written() {
    let folder = support::folder(&[("duo.parts", DUO)]);
    let (status, listed, _) = run(&folder, "study duo.parts --accidentals");
    assert_eq!(status, 0);
    assert_eq!(listed, "certain:\n  bar 2, Cantus 4: C#5, leading note of a cadence\n");
    let (status, out, err) = run(&folder, "study duo.parts -o signed.parts");
    assert_eq!((status, out.as_str(), err.as_str()), (0, "", ""));
    let signed = fs::read_to_string(folder.path().join("signed.parts")).unwrap();
    assert_eq!(signed, DUO.replace("mn C", "mn C[#]"));
    // A sign that is there is not proposed again, and a file is not written over unasked.
    let (_, listed, _) = run(&folder, "study signed.parts --accidentals");
    assert_eq!(listed, "signed.parts: no sign is proposed\n");
    let (status, _, err) = run(&folder, "study duo.parts -o signed.parts");
    assert!(status == 2 && err.contains("--replace"), "{err}");
    assert_eq!(run(&folder, "study duo.parts -o signed.parts --replace").0, 0);
}

#[test]
fn the_page_is_drawn() {
    let folder = with("two-duos.parts");
    let line = "study piece.parts -o page.pdf -o page.svg -o page.png";
    let (status, out, err) = run(&folder, line);
    assert_eq!((status, out.as_str(), err.as_str()), (0, "", ""));
    let read = |name: &str| fs::read(folder.path().join(name)).unwrap();
    assert!(read("page.pdf").starts_with(b"%PDF") && read("page.png").starts_with(b"\x89PNG"));
    let svg = String::from_utf8(read("page.svg")).unwrap();
    assert!(svg.contains("5th above") && svg.contains("clausula vera"), "{svg}");
}

#[test]
fn what_cannot_be_written_is_said_first() {
    let folder = support::folder(&[("a.parts", DUO), ("b.parts", DUO)]);
    let (status, _, err) = run(&folder, "study a.parts -o page.doc");
    assert!(status == 2 && err.contains(".pdf, .svg or .png"), "{err}");
    let (status, _, err) = run(&folder, "study a.parts b.parts -o page.pdf");
    assert!(status == 2 && err.contains("name one file"), "{err}");
    let (status, _, err) = run(&folder, "study a.parts -o a.parts --replace");
    assert!(status == 2 && !err.is_empty(), "{err}");
    assert_eq!(fs::read_to_string(folder.path().join("a.parts")).unwrap(), DUO);
}

#[test]
fn many_files_at_once() {
    let folder = support::folder(&[("a.parts", DUO), ("b.parts", DUO)]);
    let (status, out, err) = run(&folder, "study a.parts b.parts --format json");
    assert_eq!((status, err.as_str()), (0, "2 files: 2 without errors or faults\n"));
    let files: Vec<Value> = out.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!((&files[0]["file"], &files[1]["file"]), (&"a.parts".into(), &"b.parts".into()));
    let (_, text, _) = run(&folder, "study a.parts b.parts");
    assert!(text.starts_with("a.parts:\n") && text.contains("\n\nb.parts:\n"), "{text}");
}

/// Two fifths in a row are a fault by the rules of every date.
#[test]
fn faults_are_told_and_change_the_status() {
    let text = "voice A clef C1\n  sb A4 B lg A\nvoice B clef C4\n  sb D4 E lg D\n";
    let folder = support::folder(&[("a.parts", text)]);
    for rules in ["1500", "1560", "keyboard", "species"] {
        let (status, page, _) = run(&folder, &format!("study a.parts --rules {rules}"));
        assert_eq!(status, 1, "{rules}");
        assert!(page.contains("two fifths in a row"), "{page}");
    }
}

#[test]
fn marks_of_a_study_in_the_score() {
    let folder = with("two-duos.parts");
    let (status, _, _) = run(&folder, "score piece.parts --show study -o a.musicxml -o a.svg");
    assert_eq!(status, 0);
    let read = |name: &str| fs::read_to_string(folder.path().join(name)).unwrap();
    for written in [read("a.musicxml"), read("a.svg")] {
        assert!(written.contains("S1 5th above, after 8"), "{written}");
    }
}
