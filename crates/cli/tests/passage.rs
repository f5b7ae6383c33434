//! Some bars or voices alone: `--bars`, `--voices`, `--without`.

mod support;

use std::fs;
use std::path::Path;

use support::run;

/// Three voices in four bars; the Tenor's second breve goes on from the second into the third.
const TRIO: &str = "title A trio\nsign C|\n\
                    voice Cantus clef C1\n br A4 C5 sb B4 F#4 br G4 //\n\
                    voice Tenor clef C4\n br D4 sb C4 br E4 sb D4 br G3 //\n\
                    voice Bassus clef F4\n br D3 A2 sb E3 D3 br G2 //\n";

fn folder() -> tempfile::TempDir {
    support::folder(&[("trio.parts", TRIO)])
}

/// A score as MusicXML.
fn musicxml(folder: &Path, options: &str) -> String {
    let (status, out, err) = run(folder, &format!("score trio.parts {options} -o - --as musicxml"));
    assert_eq!((status, err.as_str()), (0, ""), "{options}");
    out
}

/// What of a text stands after each of these words, up to the next quotation mark.
fn after<'t>(text: &'t str, word: &str) -> Vec<&'t str> {
    text.split(word).skip(1).filter_map(|rest| rest.split('"').next()).collect()
}

#[test]
fn bars_keep_their_numbers() {
    let folder = folder();
    for (typed, numbers) in [
        ("2-3", &["2", "3"][..]),
        ("3", &["3"]),
        ("3-", &["3", "4"]),
        ("1-4", &["1", "2", "3", "4"]),
    ] {
        let xml = musicxml(folder.path(), &format!("--bars {typed}"));
        assert_eq!(after(&xml, "measure number=\""), numbers, "{typed}");
    }
    assert_eq!(musicxml(folder.path(), "--bars 1-4"), musicxml(folder.path(), ""));
}

#[test]
fn a_note_that_goes_on_has_no_tie_without_its_end() {
    let folder = folder();
    let second = musicxml(folder.path(), "--bars 2");
    assert_eq!(after(&second, "<tie type=\""), [] as [&str; 0]);
    assert_eq!(after(&second, "<tied type=\""), ["let-ring"]);
    let third = musicxml(folder.path(), "--bars 3");
    assert_eq!(after(&third, "<tied type=\""), [] as [&str; 0]);
    let both = musicxml(folder.path(), "--bars 2-3");
    assert_eq!(after(&both, "<tie type=\""), ["start", "stop"]);
}

#[test]
fn voices_by_name_or_without_some() {
    let folder = folder();
    let outer = musicxml(folder.path(), "--voices Bassus,Cantus --staves open");
    assert_eq!(outer, musicxml(folder.path(), "--without Tenor --staves open"));
    // In the order of the piece, and with the numbers that they have there.
    assert!(outer.find(">Cantus<").unwrap() < outer.find(">Bassus<").unwrap());
    assert!(outer.contains("<voice>3</voice>") && !outer.contains("<voice>2</voice>"));
    assert_eq!(
        musicxml(folder.path(), "--voices Cantus,Tenor,Bassus"),
        musicxml(folder.path(), "")
    );
}

#[test]
fn what_is_not_there_is_said() {
    let folder = folder();
    let said = |options: &str| {
        let (status, out, err) =
            run(folder.path(), &format!("score trio.parts {options} -o out.svg"));
        assert_eq!((status, out.as_str()), (2, ""), "{options}");
        assert!(!folder.path().join("out.svg").exists());
        err
    };
    let of_piece = |text: &str| format!("cartella: trio.parts: {text}\n");
    assert_eq!(
        said("--bars 3-9"),
        of_piece("there is no bar 9: the piece has bars 1 to 4; type --bars 3-4")
    );
    assert_eq!(
        said("--bars 7"),
        of_piece("there is no bar 7: the piece has bars 1 to 4; type --bars 4")
    );
    assert_eq!(
        said("--bars 0-2"),
        of_piece("there is no bar 0: the piece has bars 1 to 4; type --bars 1-2")
    );
    assert_eq!(
        said("--bars 9-"),
        of_piece("there is no bar 9: the piece has bars 1 to 4; type --bars 4")
    );
    let voices = "the voices are Cantus, Tenor, Bassus";
    assert_eq!(said("--voices Canto"), of_piece(&format!("there is no voice Canto; {voices}")));
    assert_eq!(said("--without Altus"), of_piece(&format!("there is no voice Altus; {voices}")));
    assert_eq!(
        said("--without Cantus,Tenor,Bassus"),
        of_piece("no voice is left: name fewer of them after --without")
    );
    assert!(said("--bars 4-2").contains("bar 4 is after bar 2: type 2-4"));
    assert!(said("--bars 2 --incipits always").contains("leave out one of them"));
}

/// Every kind, many files, a book, standard input.
#[test]
fn wherever_a_score_is_written() {
    let folder = folder();
    fs::copy(folder.path().join("trio.parts"), folder.path().join("other.parts")).unwrap();
    for line in [
        "score trio.parts --bars 2-3 -o a.pdf -o a.svg -o a.png -o a.mid -o a.mxl",
        "score trio.parts other.parts --bars 2-3 --without Tenor --into out --as svg --as mid",
        "score trio.parts other.parts --bars 2-3 -o book.pdf",
    ] {
        let (status, _, err) = run(folder.path(), line);
        let said = "2 files: 2 without errors\n";
        assert!(status == 0 && (err.is_empty() || err == said), "{line}: {err}");
    }
    let svg = fs::read_to_string(folder.path().join("a.svg")).unwrap();
    // Moments are those of the piece.
    let mut times = after(&svg, "data-time=\"");
    times.sort_unstable();
    assert_eq!(times.first(), Some(&"10"));
    assert_eq!(times.iter().filter(|time| **time == "4").count(), 3);
    let other = fs::read_to_string(folder.path().join("out/other.svg")).unwrap();
    assert!(!other.contains("data-voice=\"Tenor\""));
}

/// Places in the critical report are those of the whole.
#[test]
fn the_report_of_a_passage() {
    let emended = include_str!("../../../fixtures/emended-tenor.parts");
    let folder = support::folder(&[("trio.parts", emended)]);
    let entries = |options: &str| {
        let (status, out, _) =
            run(folder.path(), &format!("score trio.parts {options} --report -o out.svg"));
        assert_eq!(status, 0);
        out.lines()
            .filter_map(|line| Some(line.split_once(" (line")?.0.to_owned()))
            .collect::<Vec<_>>()
    };
    let both = ["Tenor, bar 8, 1st and 2nd notes", "Tenor, bar 12, 1st note"];
    assert_eq!(entries(""), both);
    assert_eq!(entries("--bars 10-"), both[1..]);
    assert_eq!(entries("--bars 8 --voices Tenor"), both[..1]);
    assert_eq!(entries("--without Tenor"), [] as [&str; 0]);
}

/// One file that has not so many bars does not keep the others from being written.
#[test]
fn a_file_that_is_too_short_fails_alone() {
    let folder = folder();
    fs::write(folder.path().join("short.parts"), "voice Cantus clef C1\n br A4\n").unwrap();
    let (status, _, err) =
        run(folder.path(), "score short.parts trio.parts --bars 2-3 --into out --as svg");
    assert_eq!(status, 2);
    assert!(err.contains("short.parts: there is no bar 2: the piece has bars 1 to 1"), "{err}");
    assert!(folder.path().join("out/trio.svg").exists());
}

#[test]
fn the_grid_of_a_passage() {
    let folder = folder();
    let (status, out, _) = run(folder.path(), "grid trio.parts --bars 3 --without Cantus");
    assert_eq!(status, 0);
    let expected = "         3\n         1  2 3  4\nTenor  | E4 - D4 - |\nBassus | E3 - D3 - |\n";
    assert_eq!(out, expected);
    let (_, out, _) = run(folder.path(), "grid trio.parts --bars 3 --voices Bassus --format json");
    assert!(out.contains("\"bars\":[{\"number\":3,\"at\":\"8\",\"for\":\"4\"}]"), "{out}");
    assert!(out.contains("\"index\":3,\"kind\":\"note\",\"pitch\":\"E3\",\"at\":\"8\""), "{out}");
}

/// The numbers of the notes and rests on a proof sheet, by voice, each once.
fn proofed(folder: &Path, options: &str) -> Vec<String> {
    let (status, out, err) = run(folder, &format!("proof trio.parts {options} -o - --as svg"));
    assert_eq!((status, err.as_str()), (0, ""), "{options}");
    let voices = out.split("data-voice=\"").skip(1).map(|voice| {
        let name = voice.split('"').next().unwrap();
        let mut numbers: Vec<u32> =
            after(voice, "data-index=\"").iter().map(|index| index.parse().unwrap()).collect();
        numbers.dedup();
        format!("{name} {numbers:?}")
    });
    voices.filter(|voice| !voice.ends_with("[]")).collect()
}

#[test]
fn the_proof_sheet_of_a_passage() {
    let folder = folder();
    let whole = ["Cantus [1, 2, 3, 4, 5]", "Tenor [1, 2, 3, 4, 5]", "Bassus [1, 2, 3, 4, 5]"];
    assert_eq!(proofed(folder.path(), ""), whole);
    // The Tenor's breve goes on from the second bar into the third, and is printed once.
    let passage = proofed(folder.path(), "--bars 3");
    assert_eq!(passage, ["Cantus [3, 4]", "Tenor [3, 4]", "Bassus [3, 4]"]);
    assert_eq!(proofed(folder.path(), "--bars 2 --without Cantus"), ["Tenor [2, 3]", "Bassus [2]"]);
    assert_eq!(proofed(folder.path(), "--voices Bassus"), ["Bassus [1, 2, 3, 4, 5]"]);
    assert_eq!(proofed(folder.path(), "--blank Tenor,Bassus"), ["Cantus [1, 2, 3, 4, 5]"]);
    let (_, out, _) = run(folder.path(), "proof trio.parts --blank Tenor -o - --as svg");
    assert_eq!(out.matches("data-clef=\"C4\"").count(), 1, "the empty staff has its clef");
    for (options, said) in [
        ("--bars 9", "there is no bar 9: the piece has bars 1 to 4"),
        ("--blank Altus", "there is no voice Altus; the voices are Cantus, Tenor, Bassus"),
    ] {
        let (status, _, err) = run(folder.path(), &format!("proof trio.parts {options} -o x.svg"));
        assert!(status == 2 && err.contains(said), "{err}");
    }
    // Nothing that stands there is missing, or overlaps.
    let (status, out, _) = run(folder.path(), "proof trio.parts --bars 2-3 --blank Bassus --audit");
    let answer: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!((status, &answer["audit"]), (0, &serde_json::json!([])));
    let (status, _, err) = run(folder.path(), "proof trio.parts --tally --bars 2");
    assert!(status == 2 && err.contains("cannot be used with"), "{err}");
}

/// What is heard of a passage is what is seen of it.
#[test]
fn the_sound_of_a_passage() {
    let folder = folder();
    let sound = |options: &str| {
        let line = format!("score trio.parts {options} -o a.wav --timing a.json");
        let (status, _, err) = run(folder.path(), &line);
        assert_eq!((status, err.as_str()), (0, ""), "{options}");
        let times = fs::read(folder.path().join("a.json")).unwrap();
        let times: serde_json::Value = serde_json::from_slice(&times).unwrap();
        let notes = times["notes"].as_array().unwrap().iter();
        let notes: Vec<String> =
            notes.map(|note| format!("{} {}", note["voice"], note["index"])).collect();
        (notes, fs::metadata(folder.path().join("a.wav")).unwrap().len())
    };
    let (whole, length) = sound("");
    assert_eq!(whole.len(), 15);
    let (passage, shorter) = sound("--bars 2-3 --without Cantus");
    assert!(shorter < length);
    let wanted = [
        "\"Tenor\" 2",
        "\"Tenor\" 3",
        "\"Tenor\" 4",
        "\"Bassus\" 2",
        "\"Bassus\" 3",
        "\"Bassus\" 4",
    ];
    let mut passage = passage;
    passage.sort_unstable();
    let mut wanted = wanted.map(str::to_owned);
    wanted.sort_unstable();
    assert_eq!(passage, wanted);
    assert_eq!(sound("--voices Tenor --blank Tenor").0, [] as [&str; 0]);
}

/// The commands that the page about proof sheets gives for a passage.
#[test]
fn the_commands_of_the_page_about_proof_sheets() {
    let folder = folder();
    fs::copy(folder.path().join("trio.parts"), folder.path().join("duo.parts")).unwrap();
    let page = include_str!("../../../docs/proofing.md");
    let passage = page.split_once("**A part of a piece**").unwrap().1;
    let block = passage.split_once("```sh\n").unwrap().1.split_once("```").unwrap().0;
    assert_eq!(block.lines().count(), 2);
    for line in block.lines() {
        let (status, _, err) = run(folder.path(), line.strip_prefix("cartella ").unwrap());
        assert_eq!((status, err.as_str()), (0, ""), "{line}");
    }
}
