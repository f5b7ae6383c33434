//! `proof`: the proof sheet and its tally.

mod support;

use std::fs;

use support::{folder, run, run_for_bytes};

const DUO: &str = "\
title  A duo
layout stacked
sign   C|
voice Cantus clef C1
  sb _ A4 D5 mn C B ~A /
  A4. .G F A C sb D mn C[#] lg D //
voice Tenor clef C4
  sb D3 A mn G F E D ~E /
  sb F3 D mn A F sb E lg D //
";

#[test]
fn a_sheet_of_each_kind() {
    let folder = folder(&[("duo.parts", DUO)]);
    let (status, out, err) =
        run(folder.path(), "proof duo.parts -o a.pdf -o a.svg -o a.png --dpi 100");
    assert_eq!((status, out.as_str(), err.as_str()), (0, "", ""));
    let begins =
        |name: &str, bytes: &[u8]| fs::read(folder.path().join(name)).unwrap().starts_with(bytes);
    assert!(begins("a.pdf", b"%PDF") && begins("a.png", b"\x89PNG") && begins("a.svg", b"<svg"));
    let svg = fs::read_to_string(folder.path().join("a.svg")).unwrap();
    assert!(svg.contains("Diplomatic copy") && svg.contains("data-source-line=\"2\""));
    let (status, _, err) =
        run(folder.path(), "proof duo.parts -o pages.svg --page a4 --clefs modern");
    assert_eq!((status, err.as_str()), (0, ""));
    let page = fs::read_to_string(folder.path().join("pages-1.svg")).unwrap();
    assert!(page.contains("in modern clefs") && page.contains("data-clef=\"G2\""));
}

#[test]
fn streams() {
    let folder = folder(&[("duo.parts", DUO)]);
    let (status, pdf, err) = run_for_bytes(folder.path(), "proof duo.parts -o - --as pdf");
    assert!(status == 0 && pdf.starts_with(b"%PDF") && err.is_empty());
    let (status, _, err) = run(folder.path(), "proof duo.parts -o -");
    assert!(status == 2 && err.contains("--as pdf"), "{err}");
}

#[test]
fn many_files_and_examples() {
    let examples = format!(
        "example 1\n{}example 2\n{0}",
        DUO.replace("title  A duo\nlayout stacked\nsign   C|\n", "")
    );
    let folder = folder(&[("a.parts", DUO), ("b.parts", DUO), ("c.parts", &examples)]);
    let (status, _, err) = run(folder.path(), "proof a.parts b.parts c.parts -o book.pdf");
    assert_eq!((status, err.as_str()), (0, ""));
    let (status, _, err) =
        run(folder.path(), "proof a.parts b.parts c.parts --into proofs --as svg --as pdf");
    assert!(status == 0 && err.contains("3 files: 3 without errors"), "{err}");
    let mut names: Vec<String> = fs::read_dir(folder.path().join("proofs"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort_unstable();
    let wanted = ["a.pdf", "a.svg", "b.pdf", "b.svg", "c-1.pdf", "c-1.svg", "c-2.pdf", "c-2.svg"];
    assert_eq!(names, wanted);
    let (status, _, _) = run(folder.path(), "proof c.parts#2 -o second.png");
    assert_eq!(status, 0);
    let (status, _, err) = run(folder.path(), "proof a.parts b.parts -o both.svg");
    assert!(status == 2 && err.contains("only a PDF holds several"), "{err}");
}

#[test]
fn what_cannot_be_written() {
    let folder = folder(&[("duo.parts", DUO), ("empty.parts", "voice Cantus clef C1\n")]);
    for (line, said) in [
        ("proof duo.parts", "-o NAME.pdf"),
        ("proof duo.parts -o duo.musicxml", "ends in .pdf, .svg or .png"),
        ("proof duo.parts -o duo.parts", "ends in .pdf, .svg or .png"),
        ("proof empty.parts -o empty.pdf", "has no music to print"),
        ("proof duo.parts -o a.pdf --format json", "--tally"),
        ("proof duo.parts -o a.pdf --width 200", "leave out --width"),
    ] {
        let (status, _, err) = run(folder.path(), line);
        assert!(status == 2 && err.contains(said), "{line}: {err}");
    }
}

#[test]
fn an_error_leaves_the_sheet_written() {
    let folder = folder(&[("duo.parts", &DUO.replace("sb F3", "sb F3 xylophone"))]);
    let (status, _, err) = run(folder.path(), "proof duo.parts -o duo.pdf");
    assert!(status == 1 && err.contains("E001") && err.contains("written all the same"), "{err}");
    assert!(folder.path().join("duo.pdf").exists());
}

#[test]
fn the_audit_says_where_everything_stands() {
    let folder = folder(&[("duo.parts", DUO)]);
    let (status, out, _) = run(folder.path(), "proof duo.parts --audit");
    let answer: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(
        (status, &answer["version"], &answer["audit"]),
        (0, &1.into(), &serde_json::json!([]))
    );
    assert_eq!(answer["staves"].as_array().unwrap().len(), 4);
    assert_eq!(answer["heads"].as_array().unwrap().len(), 24);
    assert_eq!(
        (&answer["heads"][0]["voice"], &answer["heads"][0]["index"]),
        (&"Cantus".into(), &2.into())
    );
}

#[test]
fn the_tally_counts_each_line() {
    let folder = folder(&[("duo.parts", DUO)]);
    let (status, out, err) = run(folder.path(), "proof duo.parts --tally");
    assert_eq!((status, err.as_str()), (0, ""));
    let wanted = "\
voice   line  notes  rests  minims  total  direct  next
Cantus     1      4      1       8      8  A4      A4
Cantus     2      8      0      16     24  -       -
Tenor      1      6      0       8      8  E3      F3 !
Tenor      2      6      0      16     24  -       -
";
    assert_eq!(out, wanted);
    let (_, out, _) = run(folder.path(), "proof duo.parts --tally --format json");
    let answer: serde_json::Value = serde_json::from_str(&out).unwrap();
    let third = &answer["lines"][2];
    assert_eq!(
        (&third["voice"], &third["source_line"], &third["notes"]),
        (&"Tenor".into(), &1.into(), &6.into())
    );
    assert_eq!(
        (&third["minims"], &third["total"], &third["announced"]),
        (&"8".into(), &"8".into(), &false.into())
    );
    assert_eq!((&third["line"], &third["column"]), (&8.into(), &6.into()));
    let (_, text, _) = run(folder.path(), "proof duo.parts duo.parts --tally");
    assert!(text.starts_with("duo.parts:\nvoice") && text.contains("\n\nduo.parts:\n"), "{text}");
}
