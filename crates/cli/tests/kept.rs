//! What the command rewrites stays the music that it was.

mod support;

use std::fs;

use support::{folder, run};

/// The lengths of the first voice, in minims.
fn lengths(folder: &tempfile::TempDir, file: &str) -> Vec<String> {
    let (_, out, err) = run(folder.path(), &format!("grid {file} --format json"));
    let grid: serde_json::Value = serde_json::from_str(&out).unwrap_or_else(|_| panic!("{err}"));
    let events = grid["voices"][0]["events"].as_array().unwrap();
    events.iter().map(|event| event["for"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn tidy_leaves_what_dots_do() {
    for (music, expected) in [
        // The dot adds, since the note after it completes it.
        ("sign O sb A4. .G mn F G sb A B br A", "3 1 1 1 2 4 6"),
        // A dot of perfection, not of addition.
        ("sign C3 br G4. sb A br G sb A br G", "4 4/3 8/3 4/3 8/3"),
    ] {
        let folder = folder(&[("a.parts", &format!("voice A clef C1\n {music}\n"))]);
        let before = lengths(&folder, "a.parts");
        assert_eq!(run(folder.path(), "tidy a.parts"), (0, String::new(), String::new()));
        assert_eq!(lengths(&folder, "a.parts"), before);
        assert_eq!(before.join(" "), expected);
    }
}

/// Under a circle, dots of division in MEI stay such.
#[test]
fn read_leaves_what_dots_do() {
    let note = |pname: &str, dur: &str, after: &str| {
        format!("<note pname=\"{pname}\" oct=\"4\" dur=\"{dur}\"/>{after}")
    };
    let divides = "<dot/>";
    let mei = format!(
        "<mei><music><body><mdiv><score><scoreDef><staffGrp><staffDef n=\"1\" \
         notationtype=\"mensural.white\" clef.shape=\"C\" clef.line=\"1\" mensur.sign=\"O\"/>\
         </staffGrp></scoreDef><section><measure><staff n=\"1\"><layer n=\"1\">{}{}{}{}{}{}\
         </layer></staff></measure></section></score></mdiv></body></music></mei>",
        note("a", "brevis", ""),
        note("g", "semibrevis", divides),
        note("a", "minima", ""),
        note("b", "minima", ""),
        note("a", "semibrevis", ""),
        note("g", "brevis", ""),
    );
    let folder = folder(&[("a.mei", &mei)]);
    let (status, _, err) = run(folder.path(), "read a.mei -o a.parts");
    assert_eq!((status, err.as_str()), (0, ""));
    assert_eq!(lengths(&folder, "a.parts").join(" "), "4 2 1 1 4 6");
}

/// Each is mended, or left where only a person can know.
#[test]
fn a_fix_changes_no_music() {
    for (typed, expected) in [
        ("voice A clef C 4\n sb G3 lg G\n", "voice A clef C4\n sb G3 lg G\n"),
        ("voice A clef: C4\n sb G3 lg G\n", "voice A clef C4\n sb G3 lg G\n"),
        (
            "voice A clef C4 signature Bb Eb\n sb G3 lg G\n",
            "voice A clef C4 signature Bb,Eb\n sb G3 lg G\n",
        ),
        (
            "voice A clef C1\n sb G4 \"Prima pars E F G /\n lg G\n",
            "voice A clef C1\n sb G4 \"Prima pars E F G /\n lg G\n",
        ),
        (
            "voice A clef C1\n br G4 || br A lg G\nvoice B clef C4\n br G3 A lg G\n",
            "voice A clef C1\n br G4 || br A lg G\nvoice B clef C4\n br G3 A lg G\n",
        ),
    ] {
        let folder = folder(&[("a.parts", typed)]);
        let before = lengths(&folder, "a.parts");
        run(folder.path(), "check a.parts --fix");
        assert_eq!(fs::read_to_string(folder.path().join("a.parts")).unwrap(), expected);
        assert_eq!(lengths(&folder, "a.parts"), before);
    }
}
