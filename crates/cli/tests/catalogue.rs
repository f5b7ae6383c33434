//! `catalogue` and `find` as their users see them.

mod support;

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant, SystemTime};

use support::{folder, run};

/// A run in the folder of the demo book.
fn book(arguments: &str) -> (i32, String, String) {
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures");
    run(&fixtures, arguments)
}

const DUO: &str = "title A duo\ntopic Close, two voices\nvoice Cantus clef C1\n  sb _ mn _ sb D5 mn C[#] lg D\n\
                   voice Tenor clef C4\n  sb D4 F E lg D\n";

#[test]
fn a_row_an_example() {
    let (status, out, err) = book("catalogue book --no-cache --format csv");
    assert_eq!((status, err.as_str()), (0, ""));
    let mut table = csv_rows(&out);
    let columns = table.remove(0);
    assert_eq!(table.len(), 30);
    let cell = |row: usize, column: &str| {
        table[row][columns.iter().position(|one| one == column).unwrap()].clone()
    };
    assert_eq!(cell(7, "file"), "book/chapter-2.parts");
    assert_eq!((cell(7, "example"), cell(7, "imitations")), ("8".into(), "5 above after 1".into()));
    assert_eq!(cell(7, "steps"), "+4; 0; -1; 0; -1; -1; +2");
    assert_eq!(cell(5, "cadences"), "D seventh evaded; A seventh");
    assert_eq!(cell(26, "canons"), "8 below after 4");
}

/// The fields of comma-separated values without quotes or line breaks in them.
fn csv_rows(text: &str) -> Vec<Vec<String>> {
    text.lines()
        .map(|line| {
            let (mut fields, mut quoted) = (vec![String::new()], false);
            for c in line.chars() {
                match c {
                    '"' => quoted = !quoted,
                    ',' if !quoted => fields.push(String::new()),
                    c => fields.last_mut().unwrap().push(c),
                }
            }
            fields
        })
        .collect()
}

#[test]
fn json_lines_have_the_columns_of_the_table() {
    let (_, out, _) = book("catalogue book --no-cache --rows cadences --format json");
    let first: serde_json::Value = serde_json::from_str(out.lines().next().unwrap()).unwrap();
    assert_eq!(first["version"], 1);
    assert_eq!((&first["goal"], &first["kind"]), (&"D".into(), &"seventh".into()));
    assert_eq!(first["phrygian"], false);
    let (_, out, _) = book("catalogue book --no-cache --rows entries --format json");
    assert!(out.lines().any(|line| line.contains("\"interval\":\"5 above\",\"delay\":\"1\"")));
}

#[test]
fn tables_are_written() {
    let folder = folder(&[("duo.parts", DUO)]);
    let done = run(folder.path(), "catalogue . --cache c -o rows.csv -o rows.jsonl");
    assert_eq!(done, (0, String::new(), String::new()));
    assert_eq!(fs::read_to_string(folder.path().join("rows.csv")).unwrap().lines().count(), 2);
    assert_eq!(fs::read_to_string(folder.path().join("rows.jsonl")).unwrap().lines().count(), 1);
    let (status, _, err) = run(folder.path(), "catalogue . --cache c -o rows.xls");
    assert_eq!(
        (status, err.as_str()),
        (2, "cartella: rows.xls is neither a .csv nor a .jsonl: name one of these\n")
    );
}

/// What is kept is used, and only as long as it is true.
#[test]
fn what_was_studied_is_kept_by_its_content() {
    let folder = folder(&[("duo.parts", DUO)]);
    let ask = || run(folder.path(), "find . --cadence D --cache c --format json").1;
    let first = ask();
    assert!(first.contains("seventh on D"));
    let kept = || {
        let mut files = fs::read_dir(folder.path().join("c")).unwrap();
        files.next().unwrap().unwrap().path()
    };
    assert_eq!(ask(), first);
    // A file that is renamed is the same; one that is changed, though as long as before, is not.
    fs::rename(folder.path().join("duo.parts"), folder.path().join("2.parts")).unwrap();
    assert_eq!(ask(), first.replace("duo.parts", "2.parts"));
    fs::write(folder.path().join("2.parts"), DUO.replace("D5 mn C[#] lg D", "C5 mn B[n] lg C"))
        .unwrap();
    assert_eq!(ask(), "");
    fs::write(folder.path().join("2.parts"), DUO).unwrap();
    // A damaged one, half of one and one of another kind are passed over, and mended.
    let whole = fs::read(kept()).unwrap();
    for damaged in
        [&whole[..whole.len() / 2], b"", b"something else", &[&whole[..60], &[0xff; 90]].concat()]
    {
        fs::write(kept(), damaged).unwrap();
        assert_eq!(ask(), first.replace("duo.parts", "2.parts"));
    }
    assert!(fs::read(kept()).unwrap().len() > 200);
}

#[test]
fn nothing_is_kept_if_that_is_wanted() {
    let folder = folder(&[("duo.parts", DUO)]);
    let home = folder.path().join("home");
    let mut command = support::cartella(folder.path(), "catalogue . --no-cache");
    command.env("XDG_CACHE_HOME", &home);
    assert!(command.output().unwrap().status.success());
    assert!(!home.exists());
    let mut command = support::cartella(folder.path(), "catalogue .");
    command.env("XDG_CACHE_HOME", &home);
    assert!(command.output().unwrap().status.success());
    assert_eq!(fs::read_dir(home.join("cartella")).unwrap().count(), 1);
}

/// A cache that cannot be written does no harm.
#[test]
fn a_cache_that_cannot_be_written_is_said() {
    let folder = folder(&[("duo.parts", DUO), ("c", "a file")]);
    let (status, out, err) = run(folder.path(), "find . --cadence D --cache c");
    assert_eq!(status, 0);
    assert!(out.contains("seventh on D"), "{out}");
    assert!(err.starts_with("what was studied is not kept: cannot write c"), "{err}");
}

#[test]
fn examples_with_errors_are_named_and_the_others_found() {
    let broken = "example 1\nvoice A clef C1\n  sb D4 H\nexample 2\n";
    let folder = folder(&[("1.parts", &format!("{broken}{DUO}"))]);
    let (status, out, err) = run(folder.path(), "find . --cadence D --no-cache");
    assert_eq!(status, 1);
    assert!(out.starts_with("./1.parts#2  A duo\n"), "{out}");
    assert!(err.contains("./1.parts#1 has errors"), "{err}");
}

#[test]
fn a_file_that_is_none_fails_alone() {
    let folder =
        folder(&[("1.parts", DUO), ("2.parts", "<?xml version=\"1.0\"?><score-partwise/>")]);
    let (status, out, err) = run(folder.path(), "catalogue . --no-cache");
    assert_eq!(status, 2);
    assert!(out.contains("./1.parts"), "{out}");
    assert!(err.contains("./2.parts is a MusicXML score, no parts file"), "{err}");
    assert!(err.ends_with("cartella: 1 of 2 files failed\n"), "{err}");
}

#[test]
fn found_by_topic_whatever_its_capitals() {
    let folder = folder(&[("duo.parts", DUO)]);
    let found = |topic: &str| {
        let mut command = support::cartella(folder.path(), "find . --no-cache --topic");
        String::from_utf8(command.arg(topic).output().unwrap().stdout).unwrap()
    };
    assert_eq!(found("close"), "./duo.parts  A duo\n");
    assert_eq!(found("Two Voices"), "./duo.parts  A duo\n");
    assert_eq!(found("two"), "");
}

#[test]
fn a_question_that_asks_nothing_is_no_question() {
    let folder = folder(&[("duo.parts", DUO)]);
    let (status, _, err) = run(folder.path(), "find . --no-cache");
    assert_eq!(status, 2);
    assert!(err.contains("say what is to be found"), "{err}");
    let (status, _, err) = run(folder.path(), "find . --no-cache --cadence H");
    assert_eq!(status, 2);
    assert!(err.contains("`H` is no cadence"), "{err}");
    let (status, _, err) = run(folder.path(), "find . --no-cache --imitation above");
    assert_eq!(status, 2);
    assert!(err.contains("does not say how a voice follows"), "{err}");
}

/// A first note needs no octave, since the subject is found on any step.
#[test]
fn a_subject_is_typed_without_an_octave() {
    let folder = folder(&[("duo.parts", DUO)]);
    let find = |subject: &str| {
        let mut command = support::cartella(folder.path(), "find . --no-cache --subject");
        let output = command.arg(subject).output().unwrap();
        let err = String::from_utf8(output.stderr).unwrap();
        (output.status.code().unwrap(), String::from_utf8(output.stdout).unwrap(), err)
    };
    let (_, out, _) = find("sb G B A br G");
    assert!(out.contains("Tenor 1–4, bar 1\n"), "{out}");
    let (status, _, err) = find("sb G D");
    assert_eq!(status, 2);
    assert!(err.contains("A is more than") || err.contains("D is more than"), "{err}");
    assert_eq!(find("sb G").0, 2);
}

#[test]
fn what_is_found_is_a_chapter_and_a_sheet() {
    let folder = folder(&[("duo.parts", DUO)]);
    let (status, _, err) =
        run(folder.path(), "find . --no-cache --cadence D -o hits.md -o hits.pdf");
    assert_eq!((status, err.as_str()), (0, "1 example found in 1 file\n"));
    let chapter = fs::read_to_string(folder.path().join("hits.md")).unwrap();
    assert_eq!(chapter, "## cadence D\n\n![A duo](duo.parts)\n\nseventh on D, bar 2.\n");
    assert!(fs::read(folder.path().join("hits.pdf")).unwrap().starts_with(b"%PDF"));
    let (status, _, err) = run(folder.path(), "find . --no-cache --cadence D -o hits.md");
    assert_eq!(status, 2);
    assert!(err.contains("hits.md exists already"), "{err}");
}

/// The second run reads what the first one has studied: forty copies of the demo book.
#[test]
fn the_second_run_is_immediate() {
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/book");
    let folder = folder(&[]);
    for chapter in 1..=5 {
        let text = fs::read_to_string(fixtures.join(format!("chapter-{chapter}.parts"))).unwrap();
        for copy in 0..40 {
            let path = folder.path().join(format!("{copy}-{chapter}.parts"));
            fs::write(&path, format!("{text}; copy {copy}\n")).unwrap();
            // What was changed within the last two seconds is read again to be sure.
            let file = fs::File::options().write(true).open(path).unwrap();
            file.set_modified(SystemTime::now() - Duration::from_mins(1)).unwrap();
        }
    }
    let timed = || {
        let begin = Instant::now();
        let (status, out, _) = run(folder.path(), "find . --cadence D --cache c --format json");
        assert_eq!((status, out.lines().count() % 40), (0, 0));
        (begin.elapsed(), out)
    };
    let (first, found) = timed();
    assert!(found.lines().count() >= 40);
    let again = [timed(), timed(), timed()];
    assert!(again.iter().all(|(_, out)| *out == found));
    let second = again.iter().map(|(time, _)| *time).min().unwrap();
    assert!(second * 3 < first, "first {first:?}, then {second:?}");
}
