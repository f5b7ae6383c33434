//! How two pairs are joined, as a person asks for it.

mod support;

use std::fs;
use std::process::Command;

use assert_cmd::cargo::cargo_bin;
use serde_json::Value;

/// The first duo of a fixture.
const DUO: &str = "\
sign C|
voice Cantus  clef C1
  br _ _ sb A4 E5 mn D. .C B A C. .B A B C sb D mn C[#] lg D
voice Altus  clef C3
  sb D4 A4 mn G. .F E D sb F mn E G sb F mn D C sb E mn F G sb F E lg D
";

fn folder() -> tempfile::TempDir {
    let three = format!("{DUO}voice Bassus clef F4\n  br D3 D D D D D\n");
    let threes = DUO.replace("sign C|", "sign O");
    let wrong = DUO.replace("sb D4 A4", "sb D4 H4");
    support::folder(&[
        ("duo.parts", DUO),
        ("three.parts", &three),
        ("threes.parts", &threes),
        ("wrong.parts", &wrong),
    ])
}

fn join(arguments: &str) -> (i32, String, String) {
    support::run(folder().path(), &format!("join {arguments}"))
}

fn json(arguments: &str) -> Value {
    let (status, out, err) = join(&format!("{arguments} --format json"));
    assert_eq!((status, err.as_str()), (0, ""));
    serde_json::from_str(&out).unwrap()
}

#[test]
fn the_best_stands_first() {
    let (status, out, _) = join("duo.parts duo.parts");
    assert_eq!(status, 0);
    let lines: Vec<&str> = out.lines().collect();
    assert_eq!(lines[0], "where the second pair can enter, the best first");
    let words: Vec<&str> = lines[2].split("  ").map(str::trim).filter(|w| !w.is_empty()).collect();
    let expected = [
        "1",
        "upon the goal",
        "bar 7, minim 1",
        "8 below, exact",
        "as the lowest",
        "the first pair holds",
        "seventh on D, clausula vera",
    ];
    assert_eq!(words, expected);
}

#[test]
fn joinings_as_json() {
    let answer = json("duo.parts duo.parts");
    assert_eq!(answer["version"], 1);
    let first = &answer["joinings"][0];
    assert_eq!(
        (&first["rank"], &first["at"], &first["steps"]),
        (&1.into(), &"24".into(), &(-7).into())
    );
    assert_eq!((&first["place"], &first["side"]), (&"goal".into(), &"below".into()));
    assert_eq!((&first["quality"], &first["first"]), (&"exact".into(), &"holds".into()));
    assert_eq!(first["cadence"]["kind"], "seventh");
    assert_eq!(first["cadence"]["dissonance"], "22");
    assert!(first.get("bridge").is_none());
}

/// A kind of cadence that the pair has not is made by a bridge.
#[test]
fn a_kind_of_cadence_is_asked_for() {
    for kind in ["second", "fourth"] {
        let answer = json(&format!("duo.parts duo.parts --cadence {kind} --above"));
        let joinings = answer["joinings"].as_array().unwrap();
        assert!(!joinings.is_empty());
        for joining in joinings {
            assert_eq!(
                (&joining["cadence"]["kind"], &joining["side"]),
                (&kind.into(), &"above".into())
            );
        }
        assert!(joinings[0]["bridge"].as_u64().is_some_and(|minims| minims <= 4));
    }
    let (status, out, _) = join("duo.parts duo.parts --cadence second --above --extend 0");
    assert_eq!((status, out.as_str()), (1, "the second pair cannot enter without a fault\n"));
}

/// What is found goes on in one pipe, and is without faults.
#[test]
fn one_pipe_to_the_page() {
    let folder = folder();
    let bin = cargo_bin("cartella");
    let line = "join duo.parts duo.parts --choose 2 -o - --as parts";
    let line = format!(
        "{0} {line} | tee four.parts | {0} score - -o four.pdf; {0} check four.parts; {0} study \
         four.parts --format json > study.json",
        bin.display()
    );
    let run = Command::new("bash").args(["-euc", &line]).current_dir(folder.path()).status();
    assert!(run.unwrap().success());
    let read = |name: &str| fs::read_to_string(folder.path().join(name)).unwrap();
    assert_eq!(read("four.parts").matches("\nvoice ").count(), 4);
    assert!(read("four.parts").contains("note    the second pair is"));
    assert!(!read("study.json").contains("\"severity\":\"fault\""));
    assert!(fs::read(folder.path().join("four.pdf")).unwrap().starts_with(b"%PDF"));
}

#[test]
fn what_cannot_be_joined_is_said() {
    let said = |arguments: &str| {
        let (status, _, err) = join(arguments);
        assert_eq!(status, 2, "{err}");
        err
    };
    let err = said("duo.parts three.parts");
    assert!(err.contains("three.parts has 3 voices, and a pair has two"), "{err}");
    let err = said("threes.parts duo.parts");
    assert!(err.contains("threes.parts has values in threes: pairs are joined where"), "{err}");
    said("duo.parts");
    said("duo.parts duo.parts --choose 2");
    let (status, _, err) = join("duo.parts wrong.parts");
    assert_eq!(status, 1);
    assert!(err.contains("wrong.parts"), "{err}");
    let (status, _, err) = join("duo.parts duo.parts --choose 20 --above --extend 0 -o x.parts");
    assert_eq!(status, 1);
    assert!(err.contains("and none of rank 20; nothing is written"), "{err}");
}

#[test]
fn a_file_that_is_there_stays() {
    let folder = folder();
    let line = "join duo.parts duo.parts -o three.parts";
    let (status, _, err) = support::run(folder.path(), line);
    assert_eq!(status, 2);
    assert!(err.contains("three.parts exists already; --replace overwrites it"), "{err}");
    let (status, _, err) =
        support::run(folder.path(), "join duo.parts duo.parts -o duo.parts --replace");
    assert_eq!(status, 2, "{err}");
    let (status, _, _) = support::run(folder.path(), &format!("{line} --replace"));
    assert_eq!(status, 0);
}
