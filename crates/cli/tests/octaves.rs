//! Octaves that are left out: one message for a voice, and what can be typed by itself.

mod support;

use std::fs;

use support::{folder, run};

/// The first D would cross the upper voice, and leap a sixth, if it were the higher one; of the last
/// one nobody knows.
const DUO: &str = "voice Cantus clef C1\n  mn A4 C5 F4 A sb C5 mn A B lg A\n\
                   voice Altus clef C1\n  mn F4 A D F sb E mn F A lg D\n";

#[test]
fn all_octaves_of_a_voice_are_one_message() {
    let folder = folder(&[("a.parts", DUO)]);
    let (status, out, _) = run(folder.path(), "check a.parts");
    assert_eq!((status, out.matches("error[").count()), (1, 1), "{out}");
    assert!(out.contains("error[E003]: 2 letters of Altus have two places on this staff"), "{out}");
    assert!(out.contains("line 4, column 11: D is D4 or D5; the other voices"), "{out}");
    assert!(out.contains("line 4, column 30: D is D4 or D5"), "{out}");
    let (_, out, _) = run(folder.path(), "check a.parts --format json");
    let answer: serde_json::Value = serde_json::from_str(&out).unwrap();
    let found = &answer["files"][0]["diagnostics"][0];
    assert_eq!(found["code"], "E003");
    let places = found["related"].as_array().unwrap();
    let places: Vec<_> = places.iter().map(|place| (&place["line"], &place["column"])).collect();
    assert_eq!(places, [(&4.into(), &11.into()), (&4.into(), &30.into())]);
}

#[test]
fn octaves_are_typed_only_if_that_is_asked_for() {
    let folder = folder(&[("a.parts", DUO)]);
    let text = || fs::read_to_string(folder.path().join("a.parts")).unwrap();
    let (_, _, err) = run(folder.path(), "check a.parts --fix");
    assert_eq!((err.as_str(), text().as_str()), ("", DUO));
    let (status, _, err) = run(folder.path(), "check a.parts --octaves");
    assert!(status == 2 && err.contains("--fix"), "{err}");
    let (_, _, err) = run(folder.path(), "check a.parts --fix --octaves");
    assert!(err.starts_with("a.parts:4:11: D is D4\n"), "{err}");
    assert!(err.contains("typed, for which the other voices and the line speak alike"), "{err}");
    assert!(text().contains("mn F4 A D4 F"), "{}", text());
    // From standard input to standard output, once.
    let said = cartella_of(DUO);
    assert_eq!(said, text());
}

fn cartella_of(text: &str) -> String {
    use std::io::Write as _;
    let folder = folder(&[]);
    let mut child = support::cartella(folder.path(), "check - --fix --octaves")
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::null())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(text.as_bytes()).unwrap();
    String::from_utf8(child.wait_with_output().unwrap().stdout).unwrap()
}

/// A tenor under the clef of a cantus.
#[test]
fn under_a_wrong_clef_the_clef_is_asked_for() {
    let tenor = "sb A3 mn C B F E F C D F B A E F E F C G A B C G D C F G A D E B E A G A G D C A E D A lg D";
    let file = |clef: &str| format!("voice Tenor clef {clef}\n  {tenor}\n");
    let folder = folder(&[("right.parts", &file("C4")), ("wrong.parts", &file("G2"))]);
    let (_, out, _) = run(folder.path(), "check right.parts");
    assert!(!out.contains("looks wrong"), "{out}");
    let (_, out, _) = run(folder.path(), "check wrong.parts");
    assert_eq!(out.matches("the clef G2 of Tenor looks wrong").count(), 1, "{out}");
    assert!(!out.contains("W101") && !out.contains("has two places"), "{out}");
    assert!(out.contains("look at the clef in the source: under clef C"), "{out}");
}
