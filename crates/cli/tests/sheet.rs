//! `sheet`, and `score --blank`.

mod support;

use std::fs;

use support::{folder, run};

/// A duo whose Tenor follows.
const DUO: &str = "title The octave below\nsign C|\nvoice Cantus clef C1\n  \
    sb D5. mn E D C sb B mn D A sb G mn F E G sb D4 mn C[#] br D //\n\
    voice Tenor clef C4\n  br _ sb D4. mn E D C sb B mn D A sb G E br D //\n";

/// Music without any imitation.
const CLOSE: &str = "voice Cantus clef C1\n  sb A4 mn C sb D mn C[#] lg D //\n\
    voice Tenor clef C4\n  mn D3 F A F sb E lg D //\n";

#[test]
fn a_sheet_and_its_answers() {
    let folder = folder(&[("duo.parts", DUO)]);
    for task in ["follower", "entry", "continue", "bass", "cadences", "voices", "keys"] {
        for level in 1..=3 {
            let name = format!("{task}-{level}");
            let typed = format!("sheet duo.parts -o {name}.pdf --task {task} --level {level}");
            assert_eq!(run(folder.path(), &typed), (0, String::new(), String::new()), "{task}");
            let bytes = |name: &str| fs::read(folder.path().join(name)).ok();
            assert!(bytes(&format!("{name}.pdf")).unwrap().starts_with(b"%PDF"));
            let answer = bytes(&format!("{name}-answers.pdf"));
            assert_eq!(answer.is_some(), !matches!(task, "voices" | "keys"), "{task}");
        }
    }
}

#[test]
fn what_cannot_be_practised_is_left_out_and_named() {
    let folder = folder(&[("duo.parts", DUO), ("close.parts", CLOSE)]);
    let (status, _, err) = run(folder.path(), "sheet close.parts duo.parts -o set.pdf");
    assert_eq!(
        (status, err.as_str()),
        (1, "close.parts is left out: no voice follows another in it\n")
    );
    assert!(folder.path().join("set.pdf").exists());
    let (status, _, err) = run(folder.path(), "sheet close.parts -o none.pdf");
    assert_eq!(status, 2);
    assert!(err.ends_with("there is nothing to practise: nothing is written\n"), "{err}");
    assert!(!folder.path().join("none.pdf").exists());
    let (status, _, _) =
        run(folder.path(), "sheet close.parts -o bass.pdf --task bass --compass C3-C6");
    assert_eq!(status, 0);
}

#[test]
fn neither_file_is_overwritten() {
    let folder = folder(&[("duo.parts", DUO), ("s-answers.pdf", "mine")]);
    let (status, _, err) = run(folder.path(), "sheet duo.parts -o s.pdf");
    assert_eq!(status, 2);
    assert!(err.contains("s-answers.pdf exists already"), "{err}");
    assert!(!folder.path().join("s.pdf").exists());
    assert_eq!(run(folder.path(), "sheet duo.parts -o s.pdf --replace").0, 0);
    for (typed, said) in [
        ("sheet duo.parts -o s.png", "s.png is no .pdf"),
        ("sheet duo.parts -o -", "two files"),
        ("sheet duo.parts -o t.pdf --compass X", "is no compass"),
    ] {
        let (status, _, err) = run(folder.path(), typed);
        assert_eq!(status, 2);
        assert!(err.contains(said), "{err}");
    }
}

/// The notes of a blank voice are not in the score, and all others are.
#[test]
fn a_blank_voice_has_no_notes() {
    let folder = folder(&[("duo.parts", DUO)]);
    let pitches = |options: &str| {
        let typed = format!("score duo.parts --staves open {options} -o - --as musicxml");
        let (status, out, err) = run(folder.path(), &typed);
        assert_eq!((status, err.as_str()), (0, ""));
        let parts: Vec<usize> =
            out.split("<part id").skip(1).map(|part| part.matches("<pitch>").count()).collect();
        parts
    };
    let whole = pitches("");
    assert!(whole.iter().all(|count| *count > 5), "{whole:?}");
    assert_eq!(pitches("--blank Tenor"), [whole[0], 0]);
    assert_eq!(pitches("--blank Cantus,Tenor"), [0, 0]);
    assert_eq!(pitches("--blank Tenor --bars 2-3")[1], 0);
    let (status, _, err) = run(folder.path(), "score duo.parts --blank Altus -o x.pdf");
    assert_eq!(status, 2);
    assert!(err.contains("there is no voice Altus; the voices are Cantus, Tenor"), "{err}");
}

/// Nothing of it sounds.
#[test]
fn a_blank_voice_is_silent() {
    let folder = folder(&[("duo.parts", DUO)]);
    let played = |options: &str| {
        let typed = format!("score duo.parts {options} --timing times.json");
        assert_eq!(run(folder.path(), &typed).0, 0);
        let times: serde_json::Value =
            serde_json::from_slice(&fs::read(folder.path().join("times.json")).unwrap()).unwrap();
        let notes = times["notes"].as_array().unwrap().clone();
        notes.iter().filter(|note| note["voice"] == "Tenor").count()
    };
    assert!(played("") > 5);
    assert_eq!(played("--blank Tenor"), 0);
}

/// What a sheet says, read by poppler.
fn said(folder: &std::path::Path, name: &str) -> String {
    let text =
        std::process::Command::new("pdftotext").args([name, "-"]).current_dir(folder).output();
    let text = String::from_utf8(text.unwrap().stdout).unwrap();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Notes outside the compass are ringed, or moved, and the sheet says which; each key has its own.
#[test]
fn notes_outside_the_compass_are_ringed_or_moved() {
    if std::process::Command::new("pdftotext").arg("-v").output().is_err() {
        return;
    }
    let folder = folder(&[("duo.parts", DUO)]);
    let sheet = |options: &str| {
        let typed = format!("sheet duo.parts -o s.pdf --replace {options}");
        assert_eq!(run(folder.path(), &typed), (0, String::new(), String::new()), "{options}");
        said(folder.path(), "s.pdf")
    };
    // The Tenor goes down to G3 and E3, the Cantus up to E5.
    let ringed = sheet("--task bass --compass A3-D5");
    assert!(ringed.contains("Ringed notes lie outside the compass."), "{ringed}");
    let moved = sheet("--task bass --compass A3-D5 --outside move");
    assert!(moved.contains("an octave higher than in the source: Tenor "), "{moved}");
    // What is to be found is not told; the answer tells it.
    assert!(!moved.contains("Cantus 1"), "{moved}");
    let answer = said(folder.path(), "s-answers.pdf");
    assert!(answer.contains("an octave lower than in the source: Cantus "), "{answer}");
    let voices = sheet("--task voices --compass A3-D5 --outside move --lang fr");
    assert!(voices.contains("Joue une octave plus haut : Tenor "), "{voices}");
    assert!(!sheet("--task bass --compass C2-C6 --outside move").contains("than in the source"));
    // All is within on the first key, not on the others.
    let keys = sheet("--task keys --compass D3-E5");
    assert_eq!(keys.matches("Ringed notes lie outside the compass.").count(), 4, "{keys}");
    assert!(keys.starts_with("The octave below"), "{keys}");
}
