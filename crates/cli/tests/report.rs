//! The critical report as a person gets it.

mod support;

use std::path::Path;

/// A run in the folder of the fixtures.
fn run(arguments: &str) -> (i32, String, String) {
    support::run(&Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures"), arguments)
}

#[test]
fn a_report_is_printed() {
    let (status, out, err) = run("report emended-tenor.parts");
    assert_eq!((status, err.as_str()), (0, ""));
    insta::assert_snapshot!(out);
}

#[test]
fn a_report_as_a_table() {
    let (status, out, _) = run("report emended-tenor.parts --format csv");
    assert_eq!(status, 0);
    assert_eq!(out.matches("\r\n").count(), 3);
    insta::assert_snapshot!(out.replace("\r\n", "\n"));
}

#[test]
fn a_report_as_json() {
    let (_, out, _) = run("report emended-tenor.parts --format json");
    let answer: serde_json::Value = serde_json::from_str(&out).unwrap();
    insta::assert_snapshot!(serde_json::to_string_pretty(&answer).unwrap());
}

/// Bars of a semibreve are twice as many.
#[test]
fn bars_are_those_of_the_score() {
    let (_, out, _) = run("report emended-tenor.parts --bar semibreve");
    assert!(out.contains("Bars are of a semibreve"), "{out}");
    assert!(out.contains("Tenor, bar 15, 1st and 2nd notes ("), "{out}");
}

#[test]
fn nothing_to_report() {
    let folder = support::folder(&[("a.parts", "voice Cantus clef C1\n br A4 G lg A\n")]);
    let (status, out, _) = support::run(folder.path(), "report a.parts");
    assert_eq!(status, 0);
    assert!(out.ends_with("nothing is emended, supplied, or left to be decided.\n"), "{out}");
}

/// What is wrong in the file is said, and the report given all the same.
#[test]
fn a_piece_with_an_error() {
    let (status, out, err) = run("report misprinted-value.parts");
    assert_eq!(status, 1);
    assert!(err.contains("E041"), "{err}");
    assert!(out.contains("Altus, bar 8, 2nd note (line 1, no. 16): sharp added to F4.\n"), "{out}");
}

#[test]
fn the_score_with_its_report() {
    let folder = tempfile::tempdir().unwrap();
    let score = folder.path().join("tenor.musicxml");
    let (status, out, _) =
        run(&format!("score emended-tenor.parts --report -o {}", score.display()));
    assert_eq!(status, 0);
    assert_eq!(out, run("report emended-tenor.parts").1);
    assert!(score.exists());
    // Where the score goes to standard output, nothing else does.
    let (status, out, err) = run("score emended-tenor.parts --report -o - --as musicxml");
    assert_eq!((status, out), (0, std::fs::read_to_string(&score).unwrap()));
    assert_eq!(err, run("report emended-tenor.parts").1);
}
