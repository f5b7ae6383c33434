//! Collation as a person runs it.

mod support;

use std::fs;

use support::run;

const ONE: &str = "title A duo\nsign C|\n\nvoice Cantus clef C1\n  sb _ _ A4 B ~C / mn C5 sb D mn C[#] lg D\n\
                   voice Tenor clef C4\n  sb D3 E F G ~A / mn A3 F sb E lg D\n";

/// A folder with two transcriptions: in the second, a note has another value, one is left out, one is
/// another, and one has a sign.
fn folder() -> tempfile::TempDir {
    let other =
        ONE.replace("sb D mn C[#]", "D C[#]").replace("E F G", "E G").replace("A3 F", "A3 F#");
    let other = other.replace("A4 B", "A4 C");
    support::folder(&[("a.parts", ONE), ("b.parts", &other)])
}

#[test]
fn differences_are_told() {
    let folder = folder();
    let (status, out, err) = run(folder.path(), "collate a.parts b.parts");
    assert_eq!((status, err.as_str()), (1, ""));
    insta::assert_snapshot!(out);
}

#[test]
fn differences_as_json() {
    let folder = folder();
    let (status, out, _) = run(folder.path(), "collate a.parts b.parts --format json");
    assert_eq!(status, 1);
    let answer: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(answer["version"], 1);
    let differences = answer["differences"].as_array().unwrap();
    let told = |one: &serde_json::Value| {
        let text = |key: &str| one[key].as_str().unwrap().to_owned();
        let (index, at) = (&one["index"], text("at"));
        format!(
            "{} {} {index} {at} {}|{}",
            text("kind"),
            text("voice"),
            text("left"),
            text("right")
        )
    };
    let told: Vec<String> = differences.iter().map(told).collect();
    assert_eq!(
        told,
        [
            "pitch Cantus 4 6 B4|C5",
            "value Cantus 6 9 sb|mn",
            "omission Tenor 3 4 sb F3|",
            "accidental Tenor 6 9 F3|F#3",
        ]
    );
}

#[test]
fn nothing_differs() {
    let folder = folder();
    let (status, out, err) = run(folder.path(), "collate a.parts a.parts");
    let expected = "nothing differs: 16 notes and rests compared as printed\n";
    assert_eq!((status, out.as_str(), err.as_str()), (0, expected, ""));
}

/// The variants are decided one after another, so the file must read as before, with warnings.
#[test]
fn variants_are_written() {
    let folder = folder();
    let (status, out, err) = run(folder.path(), "collate a.parts b.parts -o both.parts");
    assert_eq!((status, err.as_str()), (1, ""));
    assert!(out.ends_with("4 differences in 16 notes and rests, compared as printed\n"), "{out}");
    let both = fs::read_to_string(folder.path().join("both.parts")).unwrap();
    insta::assert_snapshot!(both);
    let (status, out, _) = run(folder.path(), "check both.parts");
    assert_eq!(status, 0);
    assert_eq!(out.matches("warning[W108]").count(), 4);
    assert_eq!(run(folder.path(), "collate a.parts both.parts").0, 0);
    let (status, _, err) = run(folder.path(), "collate a.parts b.parts -o both.parts");
    assert_eq!(status, 2);
    assert!(err.contains("both.parts exists already"), "{err}");
    let (_, out, _) = run(folder.path(), "collate a.parts b.parts -o -");
    assert_eq!(out, both);
}

/// What could not be read is in no variant: nothing is lost, and nothing new is wrong.
#[test]
fn variants_beside_a_stray_bar_line() {
    let voice = |music: &str| format!("voice Tenor clef C4\n  mn {music} lg G\n");
    let (left, right) = (voice("D3 E | F G"), voice("D3 F4 A4 G3"));
    let folder = support::folder(&[("a.parts", &left), ("b.parts", &right)]);
    assert_eq!(run(folder.path(), "collate a.parts b.parts -o both.parts").0, 1);
    let both = fs::read_to_string(folder.path().join("both.parts")).unwrap();
    assert_eq!(both, voice("D3 <? E | F4 > | <? F | A4 > G"));
    let (_, said, _) = run(folder.path(), "check both.parts");
    assert_eq!(said.matches("error[").count(), 1, "{said}");
    assert_eq!(run(folder.path(), "collate a.parts both.parts").0, 0);
}

/// A difference within a group that was opened twice cannot be written, and this is said.
#[test]
fn variants_that_would_not_read_as_they_are_meant() {
    let voice = |music: &str| format!("voice Tenor clef C4\n  mn {music} lg G\n");
    let (left, right) = (voice("D3 ( E ( F ) G ) A"), voice("D3 C5 C5 C5 C5"));
    let folder = support::folder(&[("a.parts", &left), ("b.parts", &right)]);
    let (status, _, err) = run(folder.path(), "collate a.parts b.parts -o both.parts");
    assert_eq!(status, 1);
    assert!(err.contains("not among the variants"), "{err}");
    assert_eq!(fs::read_to_string(folder.path().join("both.parts")).unwrap(), left);
}

#[test]
fn a_score_that_came_back() {
    let folder = folder();
    for (out, more) in [("a.musicxml", ""), ("a.mxl", "--staves open --reduce 4 --bar semibreve")] {
        assert_eq!(run(folder.path(), &format!("score a.parts -o {out} {more}")).0, 0);
        let (status, said, err) = run(folder.path(), &format!("collate a.parts {out}"));
        assert_eq!((status, err.as_str()), (0, ""));
        assert!(
            said.starts_with("nothing differs: 15 notes and rests compared as they sound\n"),
            "{said}"
        );
    }
    let (status, said, _) = run(folder.path(), "collate b.parts a.mxl");
    assert_eq!(status, 1);
    insta::assert_snapshot!(said);
    assert_eq!(run(folder.path(), "collate a.musicxml a.mxl").0, 0);
}

#[test]
fn what_could_not_run() {
    let folder = folder();
    fs::write(folder.path().join("no.xml"), "<mei/>").unwrap();
    fs::write(folder.path().join("empty.parts"), "title Nothing\n").unwrap();
    run(folder.path(), "score a.parts -o a.mxl");
    for (arguments, said) in [
        ("collate a.parts missing.parts", "cannot read missing.parts"),
        ("collate a.parts no.xml", "no.xml is not a MusicXML score"),
        ("collate a.parts empty.parts", "empty.parts has no voices to compare"),
        ("collate a.parts a.mxl -o both.parts", "for two parts files only"),
        ("collate - -", "only one of the two files"),
    ] {
        let (status, out, err) = run(folder.path(), arguments);
        assert_eq!((status, out.as_str()), (2, ""), "{arguments}");
        assert!(err.contains(said), "{arguments}: {err}");
    }
}
