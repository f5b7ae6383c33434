//! How a score is heard: `--tempo` and the others, in MIDI and in `--timing`.

mod support;

use std::fs;
use std::path::Path;

use serde_json::Value;
use support::run;

const DUO: &str = "title A duo\nsign C|\n\
                   voice Cantus clef C1\n br A4 sb B4 B4 || br C5 :: lg D5 //\n\
                   voice Bassus clef F4\n br D3 G3 || br A2 :: lg D3 //\n";

fn folder() -> tempfile::TempDir {
    support::folder(&[("duo.parts", DUO)])
}

/// The answer of `--timing`.
fn times(folder: &Path, options: &str) -> Value {
    let (status, out, err) = run(folder, &format!("score duo.parts {options} --timing -"));
    assert_eq!((status, err.as_str()), (0, ""), "{options}");
    serde_json::from_str(&out).unwrap()
}

/// Which bars begin at which second.
fn bars(times: &Value) -> Vec<String> {
    let bar =
        |bar: &Value| format!("{}.{} {}-{}", bar["number"], bar["pass"], bar["start"], bar["end"]);
    times["bars"].as_array().unwrap().iter().map(bar).collect()
}

/// A section is held for a minim, the end for two; the second section is repeated.
#[test]
fn every_bar_has_its_seconds() {
    let folder = folder();
    let usual = times(folder.path(), "");
    let expected = ["1.1 0.0-4.0", "2.1 4.0-9.0", "3.1 9.0-14.0", "3.2 14.0-19.0", "4.1 19.0-25.0"];
    assert_eq!(bars(&usual), expected);
    assert_eq!((&usual["version"], &usual["seconds"]), (&1.into(), &25.0.into()));
    let once = times(folder.path(), "--repeats once --tempo sb=60");
    assert_eq!(bars(&once), ["1.1 0.0-2.0", "2.1 2.0-4.5", "3.1 4.5-7.0", "4.1 7.0-10.0"]);
    assert_eq!(once["tempo"], serde_json::json!({"value": "sb", "per_minute": 60}));
}

#[test]
fn every_note_has_its_seconds_and_its_place() {
    let folder = folder();
    let times = times(folder.path(), "--bars 2 --mute Bassus");
    let notes = times["notes"].as_array().unwrap();
    let second = serde_json::json!({"voice": "Cantus", "index": 3, "bar": 2, "pass": 1,
        "pitch": "B4", "at": "6", "for": "2", "start": 2.0, "end": 5.0, "silent": false,
        "line": 4, "column": 14});
    assert_eq!(notes.len(), 3);
    assert_eq!(notes[2], second);
    // Let go before it is struck again.
    assert_eq!(notes[0]["end"], 1.94);
    assert_eq!((&notes[1]["voice"], &notes[1]["silent"]), (&"Bassus".into(), &true.into()));
}

/// A repeated passage comes twice, after its count.
#[test]
fn systems_come_as_they_are_played() {
    let folder = folder();
    let times = times(folder.path(), "--bars 1-2 --times 2 --count-in 1");
    assert_eq!(times["strokes"], serde_json::json!([0.0, 1.0, 2.0, 3.0]));
    let system = |pass: u32, start: f64, end: f64| {
        serde_json::json!({"system": 1, "page": 1, "first": 1, "last": 2, "pass": pass,
            "start": start, "end": end})
    };
    assert_eq!(times["systems"], serde_json::json!([system(1, 4.0, 13.0), system(2, 13.0, 22.0)]));
}

/// Where bars go on in the next system, and on the next page, that is another one.
#[test]
fn systems_are_those_of_the_pages_that_are_written() {
    let folder = folder();
    let broken = DUO.replace("sign C|", "sign C|\nbreak 2\npage 4");
    fs::write(folder.path().join("duo.parts"), broken).unwrap();
    let places = |options: &str| -> Vec<(u64, u64, u64, u64)> {
        let (status, _, err) =
            run(folder.path(), &format!("score duo.parts {options} --timing times.json"));
        assert_eq!((status, err.as_str()), (0, ""));
        let text = fs::read_to_string(folder.path().join("times.json")).unwrap();
        let times: Value = serde_json::from_str(&text).unwrap();
        let number = |system: &Value, key: &str| system[key].as_u64().unwrap();
        let place = |system: &Value| {
            let [page, system_number, first, last] =
                ["page", "system", "first", "last"].map(|key| number(system, key));
            (page, system_number, first, last)
        };
        times["systems"].as_array().unwrap().iter().map(place).collect()
    };
    // The repeat of bar 3 enters its system again.
    let whole = [(1, 1, 1, 1), (1, 2, 2, 3), (1, 2, 3, 3), (1, 3, 4, 4)];
    assert_eq!(places(""), whole);
    assert_eq!(places("-o duo.pdf"), [(1, 1, 1, 1), (1, 2, 2, 3), (1, 2, 3, 3), (2, 3, 4, 4)]);
}

#[test]
fn midi_is_played_alike() {
    let folder = folder();
    let midi = |options: &str| {
        let (status, out, err) = support::run_for_bytes(
            folder.path(),
            &format!("score duo.parts {options} -o - --as mid"),
        );
        assert_eq!((status, err.as_str()), (0, ""), "{options}");
        out
    };
    let has = |bytes: &[u8], part: &[u8]| bytes.windows(part.len()).any(|window| window == part);
    // 36 semibreves a minute: a quarter lasts 416 667 microseconds (FF 51 03, RP-001).
    assert!(has(&midi("--tempo sb=36"), &[0xff, 0x51, 3, 0x06, 0x5b, 0x9b]));
    // Bar 2 has a marker (FF 06).
    assert!(has(&midi("--bars 2"), b"\xff\x06\x05bar 2"));
    // D3 is key 50: the Bassus has it, on the second channel.
    assert!(has(&midi(""), &[0x91, 50, 80]));
    assert!(!has(&midi("--mute Bassus"), &[0x91, 50]));
    assert!(!has(&midi("--solo Cantus"), &[0x91, 50]));
    // Six decibels less is about half the amplitude, whose root is 0.71.
    assert!(has(&midi("--level Bassus=-6"), &[0x91, 50, 57]));
}

#[test]
fn what_cannot_be_heard_is_said() {
    let folder = folder();
    let said = |options: &str| {
        let (status, out, err) = run(folder.path(), &format!("score duo.parts {options}"));
        assert_eq!((status, out.as_str()), (2, ""), "{options}");
        err
    };
    assert!(said("--tempo sb=36 -o duo.pdf").contains("nothing is written that can be heard"));
    let voices = "there is no voice Altus; the voices are Cantus, Bassus\n";
    for options in ["--solo Altus", "--mute Altus", "--level Altus=3"] {
        assert_eq!(said(&format!("{options} -o a.mid")), format!("cartella: duo.parts: {voices}"));
    }
    assert!(said("--tempo fast -o a.mid").contains("type a value and how many"));
    assert!(said("--timing duo.parts").contains("it is what is read"));
    assert!(said("--timing a.mid -o a.mid").contains("two outputs would be one file: a.mid"));
    assert!(said("duo.parts --timing a.json -o a.pdf").contains("name one file"));
    fs::write(folder.path().join("two.parts"), format!("example 1\n{DUO}example 2\n{DUO}"))
        .unwrap();
    let (status, _, err) = run(folder.path(), "score two.parts --timing a.json");
    assert!(status == 2 && err.contains("or one example, as in examples.parts#2"), "{err}");
    let (status, out, _) = run(folder.path(), "score two.parts#2 --timing -");
    assert!(status == 0 && out.starts_with("{\"version\":1,\"example\":\"2\","), "{out}");
}
