//! Many files at once, watching, and what the command says of itself.

mod support;

use std::fs;
use std::io::{BufRead as _, BufReader};
use std::process::Stdio;
use std::time::{Duration, Instant};

use support::{cartella, folder, run};

const SOUND: &str = "voice Cantus clef C1\n br G4 lg A\n";
const WRONG: &str = "voice Cantus clef C1\n br G4 | lg A\n";

#[test]
fn scores_of_many_files_go_into_a_folder() {
    let folder = folder(&[("a.parts", SOUND), ("b.op.1.parts", WRONG)]);
    let arguments = "score a.parts b.op.1.parts --into scores --as musicxml --as mxl --as mid";
    let (status, _, err) = run(folder.path(), arguments);
    assert_eq!(status, 1);
    assert!(err.ends_with("2 files: 1 without errors, 1 with\n"), "{err}");
    let mut names: Vec<String> = fs::read_dir(folder.path().join("scores"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    let stems = ["a", "b.op.1"];
    let expected: Vec<String> = stems
        .iter()
        .flat_map(|stem| ["mid", "musicxml", "mxl"].map(|ending| format!("{stem}.{ending}")))
        .collect();
    assert_eq!(names, expected);
}

#[test]
fn one_files_failure_does_not_stop_the_others() {
    let folder = folder(&[("a.parts", SOUND), ("c.parts", WRONG)]);
    let (status, out, err) = run(folder.path(), "check a.parts b.parts c.parts");
    assert_eq!(status, 2);
    assert!(out.contains("a.parts: nothing wrong") && out.contains("c.parts: 1 error"), "{out}");
    assert!(err.contains("cannot read b.parts"), "{err}");
    assert!(err.contains("3 files: 1 without errors, 1 with, 1 not done"), "{err}");
}

#[test]
fn answers_come_in_the_order_of_the_files() {
    let names: Vec<String> = (0..150).map(|number| format!("{number}.parts")).collect();
    let files: Vec<(&str, &str)> = names.iter().map(|name| (name.as_str(), SOUND)).collect();
    let folder = folder(&files);
    let (status, out, _) = run(folder.path(), &format!("check {}", names.join(" ")));
    assert_eq!(status, 0);
    let answered: Vec<&str> = out.lines().filter_map(|line| line.split(':').next()).collect();
    assert_eq!(answered, names);
}

#[test]
fn json_of_many_files_is_one_object() {
    let folder = folder(&[("b.parts", SOUND), ("c.parts", WRONG)]);
    let (_, out, _) = run(folder.path(), "check a.parts b.parts c.parts --format json");
    let answer: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(answer["version"], 1);
    assert_eq!(answer["files"].as_array().unwrap().len(), 2);
    assert_eq!(answer["files"][1]["diagnostics"][0]["code"], "E005");
}

/// The tenor of a duo ends half a minim early: most likely one slip.
const SLIP: &str = "voice Cantus clef C1\n br A4 G mn F E D E sb D lg D\n\
                    voice Tenor clef C4\n br D3 E sb D sm F mn E G sb F lg D\n";

#[test]
fn mend_grid_and_report_answer_about_many_files() {
    let folder = folder(&[("a.parts", SOUND), ("b.parts", SLIP), ("c.parts", WRONG)]);
    let files = "a.parts b.parts c.parts no.parts";
    for verb in ["grid", "report", "mend"] {
        let (status, out, err) = run(folder.path(), &format!("{verb} {files}"));
        assert_eq!(status, 2, "{verb}: {err}");
        assert!(out.starts_with("a.parts:\n"), "{verb}: {out}");
        assert!(out.contains("\n\nb.parts:\n"), "{verb}: {out}");
        assert!(err.contains("cannot read no.parts"), "{verb}: {err}");
        assert!(err.contains("4 files: 1 without errors"), "{verb}: {err}");
        let (_, out, _) = run(folder.path(), &format!("{verb} {files} --format json"));
        let answers: Vec<serde_json::Value> =
            out.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
        let of: Vec<&str> = answers.iter().filter_map(|answer| answer["file"].as_str()).collect();
        assert_eq!(of, ["a.parts", "b.parts", "c.parts"], "{verb}");
        // One file is answered as ever.
        let (_, out, _) = run(folder.path(), &format!("{verb} a.parts"));
        assert!(!out.starts_with("a.parts:\n"), "{verb}: {out}");
    }
    let (status, _, err) = run(folder.path(), "mend a.parts b.parts --apply 1");
    assert!(status == 2 && err.contains("name one file"), "{err}");
}

#[test]
fn a_table_of_many_reports_names_the_files() {
    let emended = "voice A clef C1\n sb G4 < A | B > lg A\n";
    let examples = format!("example 1\n{emended}example 2\n{emended}");
    let folder = folder(&[("a.parts", emended), ("b.parts", &examples)]);
    let (status, out, _) = run(folder.path(), "report a.parts b.parts --format csv");
    assert_eq!(status, 0);
    let begins: Vec<Vec<&str>> =
        out.lines().map(|line| line.split(',').take(3).collect()).collect();
    let expected: [&[&str]; 4] = [
        &["file", "example", "bar"],
        &["a.parts", "", "1"],
        &["b.parts", "1", "1"],
        &["b.parts", "2", "1"],
    ];
    assert_eq!(begins, expected);
}

#[test]
fn what_cannot_go_well_is_said_before_anything_is_written() {
    let folder = folder(&[("a.parts", SOUND), ("b.parts", SOUND)]);
    fs::create_dir(folder.path().join("sub")).unwrap();
    fs::write(folder.path().join("sub/a.parts"), SOUND).unwrap();
    for (arguments, said) in [
        ("score a.parts b.parts -o x.musicxml", "several files go into a folder"),
        ("score a.parts b.parts --into no/where --as mid", "cannot make the folder no/where"),
        ("score a.parts sub/a.parts --into sub --as mid", "two files would become one"),
        ("score a.parts --into sub", "--as"),
        ("check - --watch", "standard input cannot be watched"),
    ] {
        let (status, _, err) = run(folder.path(), arguments);
        assert_eq!(status, 2, "{arguments}: {err}");
        assert!(err.contains(said), "{arguments}: {err}");
    }
}

#[test]
fn a_score_goes_out_and_comes_back() {
    let folder = folder(&[("a.parts", SOUND)]);
    assert_eq!(run(folder.path(), "score a.parts -o a.mxl --staves open").0, 0);
    let (status, out, err) = run(folder.path(), "read a.mxl");
    assert_eq!((status, err.as_str()), (0, ""));
    assert!(out.contains("voice Cantus") && out.contains("br G4"), "{out}");
}

/// A change of the file is answered; the command goes on until it is ended.
#[test]
fn a_change_is_seen() {
    let folder = folder(&[("a.parts", SOUND)]);
    let mut child = cartella(folder.path(), "check a.parts --watch")
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let (sender, receiver) = std::sync::mpsc::channel();
    std::thread::spawn(move || {
        while let Some(Ok(line)) = lines.next() {
            let _ = sender.send(line);
        }
    });
    let wait = Duration::from_secs(30);
    assert!(receiver.recv_timeout(wait).unwrap().contains("nothing wrong"));
    // The watcher begins right after the first answer; writing again and again misses nothing.
    let begin = Instant::now();
    let seen = loop {
        fs::write(folder.path().join("a.parts"), WRONG).unwrap();
        if let Ok(line) = receiver.recv_timeout(Duration::from_millis(300)) {
            break line;
        }
        assert!(begin.elapsed() < wait, "the change was not seen");
    };
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(seen.contains("E005"), "{seen}");
}

#[test]
fn completions_and_a_manual() {
    let folder = folder(&[]);
    for shell in ["bash", "zsh", "fish"] {
        let (status, out, _) = run(folder.path(), &format!("--completions {shell}"));
        assert!(status == 0 && out.contains("cartella") && out.contains("explain"), "{shell}");
    }
    let (status, out, _) = run(folder.path(), "--manual");
    assert_eq!(status, 0);
    for said in [".TH cartella", "cartella score", "transpose", "reach"] {
        assert!(out.contains(said), "{said}");
    }
}
