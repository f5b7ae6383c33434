//! `score --show`: what an analysis says, drawn and written at the notes.

mod support;

use std::fs;
use std::path::Path;

/// A score of a fixture, and what was said.
fn shown(fixture: &str, options: &str, ending: &str) -> (i32, String, String) {
    let folder = tempfile::tempdir().unwrap();
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures");
    fs::copy(fixtures.join(fixture), folder.path().join("piece.parts")).unwrap();
    let line = format!("score piece.parts {options} -o out.{ending}");
    let (status, _, err) = support::run(folder.path(), &line);
    (status, fs::read_to_string(folder.path().join(format!("out.{ending}"))).unwrap(), err)
}

/// The likeliest slip of the fixture is that a dot was left out.
#[test]
fn slips_are_drawn_at_their_notes() {
    let (status, svg, _) = shown("misprinted-value.parts", "--show slips", "svg");
    // The piece has an error, and is drawn all the same.
    assert_eq!(status, 1);
    let mut altus = svg.split("<g data-voice=").filter(|voice| voice.starts_with("\"Altus\""));
    let (_, note) = altus.find_map(|voice| voice.split_once("data-index=\"18\"")).unwrap();
    let (note, _) = note.split_once("<g data-index").unwrap();
    assert!(note.contains(">1: mn E.?</text>"), "{note}");
    assert!(note.contains("fill=\"#d55e00\""), "{note}");
    let (_, plain, _) = shown("misprinted-value.parts", "", "svg");
    assert!(!plain.contains("1: mn E.?"));
}

#[test]
fn slips_are_words_in_musicxml() {
    for staves in ["keyboard", "open"] {
        let options = format!("--show slips --staves {staves}");
        let (_, xml, _) = shown("misprinted-value.parts", &options, "musicxml");
        assert!(xml.contains(">1: mn E.?</words>") && xml.contains(">2: mn F?</words>"), "{xml}");
    }
}

/// Suggestions are as likely as `mend` says, however long the bars are.
#[test]
fn bars_change_nothing() {
    let (_, xml, _) = shown("misprinted-value.parts", "--show slips --bar semibreve", "musicxml");
    assert!(xml.contains(">1: mn E.?</words>"), "{xml}");
}

#[test]
fn where_there_is_none_that_is_said() {
    let (status, svg, err) = shown("two-duos.parts", "--show slips", "svg");
    assert_eq!((status, err.as_str()), (0, "piece.parts: no slip is found\n"));
    assert!(!svg.contains("fill=\"#d55e00\""));
}

#[test]
fn what_cannot_be_read_is_not_weighed() {
    let folder =
        support::folder(&[("a.parts", "voice A clef C1\n  sb D4 nm E\nvoice B clef C4\n br D3\n")]);
    let (status, _, err) = support::run(folder.path(), "score a.parts --show slips -o a.svg");
    assert_eq!(status, 1);
    assert!(err.contains("no slips are shown"), "{err}");
    assert!(folder.path().join("a.svg").exists());
}

#[test]
fn what_else_may_be_shown_is_said() {
    let folder = support::folder(&[("a.parts", "voice A clef C1\n  sb D4\n")]);
    let (status, _, err) = support::run(folder.path(), "score a.parts --show slip -o a.svg");
    assert_eq!(status, 2);
    assert!(err.contains("slips"), "{err}");
}
