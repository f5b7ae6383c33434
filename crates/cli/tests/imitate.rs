//! What a subject can do, as a person asks for it.

mod support;

use std::fs;
use std::path::Path;
use std::process::Command;

use assert_cmd::cargo::cargo_bin;
use serde_json::Value;

/// A run of `imitate` in a folder; arguments may have blanks.
fn imitate_in(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let output = Command::new(cargo_bin("cartella"))
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .arg("imitate")
        .args(arguments)
        .output()
        .unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

fn imitate(arguments: &[&str]) -> (i32, String, String) {
    imitate_in(Path::new(env!("CARGO_MANIFEST_DIR")), arguments)
}

fn json(arguments: &[&str]) -> Value {
    let (status, out, err) = imitate(&[arguments, &["--format", "json"]].concat());
    assert_eq!((status, err.as_str()), (0, ""));
    serde_json::from_str(&out).unwrap()
}

#[test]
fn the_table_of_a_short_subject() {
    let (status, out, _) = imitate(&["sb D4 E F", "--mirror"]);
    assert_eq!(status, 0);
    insta::assert_snapshot!(out);
}

#[test]
fn the_table_as_json() {
    let answer = json(&["mn D4 E F G"]);
    assert_eq!(answer["version"], 1);
    let row = |steps: i64, delay: &str| {
        let rows = answer["table"].as_array().unwrap().iter();
        rows.filter(|row| row["steps"] == steps && row["delay"] == delay).collect::<Vec<_>>()
    };
    let [fails] = row(-3, "1")[..] else { panic!() };
    assert_eq!((&fails["verdict"], &fails["at"]), (&"fails".into(), &3.into()));
    assert_eq!(fails["why"], "F4 against B3 is a false fifth");
    let [works] = row(-4, "1")[..] else { panic!() };
    assert_eq!((&works["verdict"], &works["meetings"]), (&"works".into(), &3.into()));
    assert_eq!(works["quality"], "steps");
    assert_eq!(works["exact_with"]["signs"][0]["pitch"], "Bb3");
    let [sign] = row(-4, "1/2")[..] else { panic!() };
    assert_eq!((&sign["verdict"], &sign["signs"][0]["note"]), (&"accidental".into(), &3.into()));
    assert!(row(-8, "1").is_empty());
    let answer = json(&["mn D4 E F G", "--all"]);
    assert_eq!(answer["table"].as_array().unwrap().len(), 17 * 7);
}

#[test]
fn a_bare_letter_lies_within_a_third() {
    let (status, out, err) = imitate(&["mn D4 A"]);
    assert_eq!((status, out.as_str()), (1, ""));
    assert!(err.contains("A is more than a third from the note before, D4"), "{err}");
    assert!(err.contains("type A3 for the lower or A4 for the higher one"), "{err}");
    assert!(err.contains("--> the subject:1:7"), "{err}");
    let answer = json(&["clef C1 signature Bb mn G B"]);
    assert_eq!(answer["subject"]["notes"][1]["pitch"], "Bb4");
    let (_, _, err) = imitate(&["mn D4 E H"]);
    assert!(err.contains("the subject:1:9"), "{err}");
}

#[test]
fn what_is_no_subject() {
    let said = |arguments: &[&str]| {
        let (status, _, err) = imitate(arguments);
        assert_eq!(status, 2, "{err}");
        err
    };
    assert_eq!(said(&["mn _"]), "cartella: the subject has no note\n");
    assert!(said(&[&format!("mn {}", "D4 ".repeat(200))]).contains("too long"));
    assert!(said(&["mn D4 E", "--choose", "5 above"]).contains("as in `5 above after 1`"));
    assert!(said(&["mn D4 E", "--choose", "5 above after 2"]).contains("is not close"));
    assert!(said(&["mn D4 E", "-o", "x.parts"]).contains("say which"));
    assert!(said(&["--moves", "5 above after 1/2"]).contains("no whole number of notes"));
    said(&[]);
}

#[test]
fn a_subject_of_a_piece() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures");
    let run = |from: [&str; 3]| imitate_in(&folder, &[&["--from"], &from[..]].concat());
    let (status, out, _) = run(["two-duos.parts", "Altus", "1-6"]);
    assert_eq!(status, 0);
    assert!(out.starts_with("subject  D4 A4 G4 F4 E4 D4, 8 minims\n"), "{out}");
    let (status, _, err) = run(["two-duos.parts", "Alto", "1-6"]);
    assert_eq!(status, 2);
    assert!(err.contains("has no voice Alto; its voices are Cantus Altus"), "{err}");
    let (_, _, err) = run(["two-duos.parts", "Altus", "1-600"]);
    assert!(err.contains("Altus has "), "{err}");
    let (_, _, err) = run(["two-duos.parts", "Altus", "6-1"]);
    assert!(err.contains("as in 1-6"), "{err}");
}

#[test]
fn what_is_chosen_is_a_parts_file_without_errors() {
    let folder = support::folder(&[]);
    for (subject, entry) in [
        ("mn D4 E F G", "5 above after 2"),
        ("sb D4 A4 mn G F E D", "8 below after 7, 5 above after 8"),
        ("signature Bb mn G4 A B. sm A mn G", "4 below after 3"),
        ("sb A4 G F E D", "6 above after 1"),
    ] {
        for ending in [&[][..], &["--cadence"]] {
            let (status, out, err) =
                imitate_in(folder.path(), &[&[subject, "--choose", entry], ending].concat());
            assert_eq!((status, err.as_str()), (0, ""), "{subject} {entry}");
            fs::write(folder.path().join("a.parts"), out).unwrap();
            let (status, out, _) = support::run(folder.path(), "check a.parts");
            assert_eq!(status, 0, "{out}");
            let (status, out, _) = support::run(folder.path(), "tidy a.parts --check");
            assert_eq!(status, 0, "{out}");
        }
    }
}

#[test]
fn a_cadence_ends_with_a_clausula_vera() {
    let (_, out, _) = imitate(&["mn D4 E F G", "--choose", "5 above after 2", "--cadence"]);
    insta::assert_snapshot!(out);
}

#[test]
fn what_fails_is_not_written() {
    let folder = support::folder(&[]);
    let arguments = ["mn D4 E F G", "--choose", "5 above after 1", "-o", "a.parts"];
    let (status, _, err) = imitate_in(folder.path(), &arguments);
    assert_eq!(status, 1);
    assert_eq!(
        err,
        "5 above after 1 fails at note 2: E4 against A4 is a fourth; nothing is written\n"
    );
    assert!(!folder.path().join("a.parts").exists());
}

/// Octave and unison in contrary motion are a fault in two voices, as a study has it; composers took the
/// licence at times.
#[test]
fn licences_are_asked_for() {
    let subject = "mn D4 A4 D4 F4";
    let chosen = [subject, "--choose", "unison after 1"];
    let (status, out, err) = imitate(&chosen);
    assert_eq!((status, out.as_str()), (1, ""));
    assert!(err.contains("in contrary motion, D4 against A4 (--licences"), "{err}");
    let (status, out, _) = imitate(&[&chosen[..], &["--licences"]].concat());
    assert!(status == 0 && out.contains("voice Cantus"), "{out}");
    let verdict = |arguments: &[&str]| {
        let answer = json(arguments);
        let rows = answer["table"].as_array().unwrap().clone();
        let row = rows.iter().find(|row| row["steps"] == 0 && row["delay"] == "1").unwrap().clone();
        row["verdict"].as_str().unwrap().to_owned()
    };
    assert_eq!(verdict(&[subject]), "fails");
    assert_eq!(verdict(&[subject, "--licences"]), "works");
}

#[test]
fn a_file_that_is_there_stays() {
    let folder = support::folder(&[("a.parts", "title mine\n")]);
    let arguments = ["mn D4 E F G", "--choose", "4 below after 2", "-o", "a.parts"];
    let (status, _, err) = imitate_in(folder.path(), &arguments);
    assert_eq!(status, 2);
    assert!(err.contains("a.parts exists already; --replace overwrites it"), "{err}");
    let (status, _, _) = imitate_in(folder.path(), &[&arguments[..], &["--replace"]].concat());
    assert_eq!(status, 0);
}

/// What is found goes on in one pipe.
#[test]
fn one_pipe_to_the_page() {
    let folder = support::folder(&[]);
    let bin = cargo_bin("cartella");
    let line = "imitate 'mn D4 E F G' --choose '4 below after 2' --cadence -o - --as parts";
    let line = format!("{0} {line} | {0} score - -o duo.pdf", bin.display());
    let run = Command::new("bash").args(["-euc", &line]).current_dir(folder.path()).status();
    assert!(run.unwrap().success());
    assert!(fs::read(folder.path().join("duo.pdf")).unwrap().starts_with(b"%PDF"));
}

#[test]
fn the_moves_of_the_fifth() {
    let (status, out, _) = imitate(&["--moves", "5 above after 1"]);
    assert_eq!(status, 0);
    insta::assert_snapshot!(out);
    let answer = json(&["--moves", "5 above after sb"]);
    assert_eq!((&answer["steps"], &answer["delay"]), (&4.into(), &"2".into()));
    assert_eq!(answer["moves"][0]["steps"], -7);
}

#[test]
fn the_table_of_patterns() {
    let (status, out, _) = imitate(&["--patterns"]);
    assert_eq!(status, 0);
    insta::assert_snapshot!(out);
    let answer = json(&["--patterns"]);
    assert_eq!(answer["patterns"].as_array().unwrap().len(), 8);
    assert_eq!(answer["patterns"][0]["direction"], "rising");
}

#[test]
fn three_and_four_voices() {
    let (status, out, _) = imitate(&["sb D4 A4 mn G F E D", "--in", "3"]);
    assert_eq!(status, 0);
    insta::assert_snapshot!(out);
    let answer = json(&["sb D4 A4 mn G F E D", "--in", "4"]);
    let first = &answer["ensembles"][0];
    assert_eq!((&first["rank"], &first["verdict"]), (&1.into(), &"works".into()));
    assert_eq!(first["entries"].as_array().unwrap().len(), 3);
}

#[test]
fn the_sheet_of_patterns() {
    let folder = support::folder(&[]);
    let (status, _, err) = imitate_in(folder.path(), &["--patterns", "-o", "p.parts"]);
    assert_eq!((status, err.as_str()), (0, ""));
    let (status, out, _) = support::run(folder.path(), "check p.parts");
    assert_eq!(status, 0, "{out}");
    let (status, _, err) = imitate_in(folder.path(), &["--patterns", "-o", "p.svg"]);
    assert_eq!(status, 2);
    assert!(err.contains("p.svg is neither a .pdf nor a .parts"), "{err}");
}

#[test]
fn questions_and_their_answers() {
    let folder = support::folder(&[]);
    for ending in ["pdf", "parts"] {
        let sheet = format!("q.{ending}");
        let (status, _, err) = imitate_in(folder.path(), &["--ask", "5", "-o", &sheet]);
        assert_eq!((status, err.as_str()), (0, ""));
    }
    for sheet in ["q.parts", "q-answers.parts"] {
        let (status, out, _) = support::run(folder.path(), &format!("check {sheet}"));
        assert_eq!(status, 0, "{out}");
        let text = fs::read_to_string(folder.path().join(sheet)).unwrap();
        assert_eq!(text.matches("\nvoice ").count(), if sheet == "q.parts" { 5 } else { 10 });
    }
    let answers = fs::read_to_string(folder.path().join("q-answers.parts")).unwrap();
    assert!(answers.contains("note    after 1: fails at note 2: E4 against A4 is a fourth"));
    for sheet in ["q.pdf", "q-answers.pdf"] {
        assert!(fs::read(folder.path().join(sheet)).unwrap().starts_with(b"%PDF"));
    }
    // The second file would be lost if it were found only after the first is written.
    fs::remove_file(folder.path().join("q.pdf")).unwrap();
    let (status, _, err) = imitate_in(folder.path(), &["--ask", "5", "-o", "q.pdf"]);
    assert_eq!(status, 2);
    assert!(err.contains("q-answers.pdf exists already"), "{err}");
    assert!(!folder.path().join("q.pdf").exists());
}
