//! `proof --strips` and `--facsimile`: pictures of the source, made here by the command itself.

mod support;

use std::fs;

use support::{folder, run};

const DUO: &str = "\
title  A duo

voice Cantus clef C1 sign C|
  sb _ A4 D5 mn C B ~A /
  A4. .G F A C sb D mn C[#] lg D //
voice Tenor clef C4 sign C|
  sb D3 A mn G F E D ~F /
  sb F3 D mn A F sb E lg D //
";

/// A folder with the duo and a picture of it as its source prints it.
fn scanned() -> tempfile::TempDir {
    let folder = folder(&[("duo.parts", DUO)]);
    let (status, _, err) = run(folder.path(), "proof duo.parts -o page.png --dpi 150 --page a4");
    assert_eq!((status, err.as_str()), (0, ""));
    fs::rename(folder.path().join("page-1.png"), folder.path().join("page.png")).unwrap();
    folder
}

#[test]
fn staves_of_a_picture() {
    let folder = scanned();
    let (status, out, err) = run(folder.path(), "proof --strips page.png");
    assert_eq!((status, err.as_str()), (0, ""));
    assert_eq!(out.lines().count(), 5, "{out}");
    assert!(out.starts_with("file      page  staff"), "{out}");
    let (_, out, _) = run(folder.path(), "proof --strips page.png page.png --format json");
    let answer: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(answer["version"], 1);
    let strips = answer["strips"].as_array().unwrap();
    let numbers: Vec<_> = strips.iter().map(|one| (&one["page"], &one["line"])).collect();
    assert_eq!(numbers.len(), 8);
    assert!(*numbers[0].0 == 1 && *numbers[7].0 == 2 && *numbers[7].1 == 4);
    assert_eq!((&strips[7]["in_file"], &strips[7]["empty"]), (&1.into(), &false.into()));
    // A proof sheet has no words.
    assert!(strips.iter().all(|one| one["words"].as_array().is_some_and(Vec::is_empty)), "{out}");
    let height = |one: &serde_json::Value| one["height"].as_f64().unwrap();
    // Staves of 6 millimetres, with three to four spaces above and below, at 150 to the inch.
    assert!(strips.iter().all(|one| (80.0..115.0).contains(&height(one))), "{out}");
}

#[test]
fn lines_are_found_and_written_into_the_head() {
    let folder = scanned();
    fs::create_dir(folder.path().join("scans")).unwrap();
    fs::rename(folder.path().join("page.png"), folder.path().join("scans/all.png")).unwrap();
    let command = "proof duo.parts --strips --facsimile scans --write";
    let (status, out, err) = run(folder.path(), command);
    assert_eq!((status, err.as_str()), (0, "duo.parts: its head says where 4 lines stand\n"));
    assert_eq!(out.lines().count(), 5, "{out}");
    let text = fs::read_to_string(folder.path().join("duo.parts")).unwrap();
    let items: Vec<&str> = text.lines().filter(|line| line.starts_with("facsimile")).collect();
    assert_eq!(items.len(), 4);
    assert!(items[0].starts_with("facsimile Cantus 1 scans/all.png 1 "), "{text}");
    assert!(items[3].starts_with("facsimile Tenor 2 scans/all.png 1 "), "{text}");
    let others: String = text
        .lines()
        .filter(|line| !line.starts_with("facsimile"))
        .map(|l| format!("{l}\n"))
        .collect();
    assert_eq!(others, DUO);
    assert_eq!(run(folder.path(), "check duo.parts").0, 0);
    // What a person corrects is what is printed; and once more nothing changes.
    let (status, _, _) = run(folder.path(), command);
    assert_eq!((status, fs::read_to_string(folder.path().join("duo.parts")).unwrap()), (0, text));
    let (status, _, err) = run(folder.path(), "proof duo.parts -o sheet.svg");
    assert_eq!((status, err.as_str()), (0, ""));
    let sheet = fs::read_to_string(folder.path().join("sheet.svg")).unwrap();
    assert_eq!(sheet.matches("<image ").count(), 1);
    assert_eq!(sheet.matches("href=\"#page0\"").count(), 4);
}

#[test]
fn strips_stand_above_the_lines() {
    let folder = scanned();
    for (name, pictures) in [("a.svg", "page.png"), ("b.pdf", "page.png")] {
        let (status, _, err) =
            run(folder.path(), &format!("proof duo.parts -o {name} --facsimile {pictures}"));
        assert_eq!((status, err.as_str()), (0, ""));
    }
    let sheet = fs::read_to_string(folder.path().join("a.svg")).unwrap();
    assert_eq!(sheet.matches("href=\"#page0\"").count(), 4);
    // A page of a PDF is drawn; here the sheet is its own source.
    let (status, _, err) = run(folder.path(), "proof duo.parts -o plain.pdf");
    assert_eq!((status, err.as_str()), (0, ""));
    let (status, out, err) =
        run(folder.path(), "proof duo.parts --strips --facsimile plain.pdf --format json");
    assert_eq!((status, err.as_str()), (0, ""));
    let answer: serde_json::Value = serde_json::from_str(&out).unwrap();
    let strips = answer["strips"].as_array().unwrap();
    assert_eq!((&strips[2]["voice"], &strips[2]["source_line"]), (&"Tenor".into(), &1.into()));
    // Points: no page of paper is wider than 620.
    assert!(strips.iter().all(|one| one["width"].as_f64().unwrap() < 620.0), "{out}");
}

#[test]
fn what_does_not_match_is_said() {
    let folder = scanned();
    let (status, out, err) =
        run(folder.path(), "proof duo.parts --strips --facsimile Cantus=page.png --write");
    assert_eq!((status, out.as_str()), (1, ""));
    assert!(
        err.contains("Cantus: 2 lines in the file, but 4 staves with music in page.png"),
        "{err}"
    );
    assert_eq!(fs::read_to_string(folder.path().join("duo.parts")).unwrap(), DUO);
    for (command, said) in [
        ("proof duo.parts --strips --facsimile Cantos=page.png", "there is no voice Cantos"),
        ("proof duo.parts --strips --facsimile nothing", "type VOICE=FILE"),
        ("proof duo.parts --strips", "duo.parts: it is not a picture"),
        ("proof --strips missing.png", "cannot read missing.png"),
        ("proof duo.parts -o x.pdf --facsimile Cantus=missing.png", "cannot read missing.png"),
    ] {
        let (status, _, err) = run(folder.path(), command);
        assert!(status == 2 && err.contains(said), "{command}: {err}");
    }
    // A picture that the head names and that is gone: the sheet is written all the same.
    let head = "facsimile Cantus 1 gone.png 1 0 0 99 99 0\n";
    fs::write(folder.path().join("old.parts"), format!("{head}{DUO}")).unwrap();
    let (status, _, err) = run(folder.path(), "proof old.parts -o old.svg");
    assert!(
        status == 1 && err.contains("old.parts: cannot read") && err.contains("gone.png"),
        "{err}"
    );
    assert!(folder.path().join("old.svg").exists());
}
