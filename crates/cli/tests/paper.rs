//! Scores on paper: pages, PDF and PNG, books, and what is said where wishes contradict each other.

mod support;

use std::fs;
use std::path::Path;

use support::run_for_bytes as run;

const DUO: &str = "title A duo\nsource fol. 3r\nnote Both finals are longs.\nsign C|\n\
                   voice Cantus clef C1\n sb _ _ A4 B mn C5 sb D mn C[#] lg D\n\
                   voice Tenor clef C4\n sb D3 E F G mn A3 F sb E lg D\n";

/// A folder with a duo, another duo without a title, and one of many bars.
fn folder() -> tempfile::TempDir {
    support::folder(&[
        ("duo.parts", DUO),
        ("other.parts", DUO.split_once('\n').unwrap().1),
        ("long.parts", &DUO.replace("sb D3 E F G", &"sb D3 E F G ".repeat(30))),
    ])
}

/// Runs a command that must be done without a word.
fn done(folder: &Path, arguments: &str) -> Vec<u8> {
    let (status, out, err) = run(folder, arguments);
    assert_eq!((status, err.as_str()), (0, ""), "{arguments}");
    out
}

fn read(folder: &Path, name: &str) -> Vec<u8> {
    fs::read(folder.join(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

#[test]
fn a_kind_by_its_ending() {
    let folder = folder();
    done(folder.path(), "score duo.parts -o duo.pdf -o duo.png");
    assert!(read(folder.path(), "duo.pdf").starts_with(b"%PDF-1.7"));
    // The first bytes of every PNG file (PNG specification, section 5.2).
    assert!(read(folder.path(), "duo.png").starts_with(b"\x89PNG\r\n\x1a\n"));
    let out = done(folder.path(), "score duo.parts -o - --as pdf");
    assert!(out == read(folder.path(), "duo.pdf"), "the same bytes again");
    fs::create_dir(folder.path().join("out")).unwrap();
    done(folder.path(), "score duo.parts --into out --as pdf --as png");
    assert!(out == read(folder.path(), "out/duo.pdf"));
    assert!(read(folder.path(), "out/duo.png") == read(folder.path(), "duo.png"));
}

#[test]
fn a_file_a_page() {
    let folder = folder();
    let large = "score long.parts -o long.svg --page a4 --size 30";
    let (status, _, err) = run(folder.path(), large);
    assert_eq!(
        (status, err.lines().last().unwrap_or_default()),
        (
            1,
            "long.parts: the voices do not end together (E041); the score is written all the same, \
             and `cartella check long.parts` says more"
        )
    );
    assert!(folder.path().join("long-2.svg").is_file() && !folder.path().join("long.svg").exists());
    // One page is numbered too, so that names do not depend on the length of the piece.
    done(folder.path(), "score duo.parts -o duo.svg --page letter --landscape");
    let page = String::from_utf8(read(folder.path(), "duo-1.svg")).unwrap();
    assert!(page.contains("width=\"279.4mm\" height=\"215.9mm\""), "{page:.200}");
    assert!(!folder.path().join("duo-2.svg").exists());
}

#[test]
fn the_audit_knows_the_page() {
    let folder = folder();
    let audit = |arguments: &str| -> serde_json::Value {
        serde_json::from_slice(&run(folder.path(), arguments).1).unwrap()
    };
    let whole = audit("score long.parts --audit --size 25");
    assert!(whole["heads"].as_array().unwrap().iter().all(|head| head["page"] == 1));
    let pages = audit("score long.parts --audit --size 25 --page a4");
    assert_eq!(pages["audit"].as_array().unwrap().len(), 0);
    let heads = pages["heads"].as_array().unwrap();
    assert_eq!(heads.len(), whole["heads"].as_array().unwrap().len());
    assert!(heads.last().unwrap()["page"].as_u64() > Some(1));
    assert!(pages["staves"].as_array().unwrap().last().unwrap()["page"].as_u64() > Some(1));
}

#[test]
fn notes_stand_under_the_last_system_if_wanted() {
    let folder = folder();
    // Whether there are notes, and what is drawn of the music stands before them.
    let notes = |arguments: &str| {
        let svg = String::from_utf8(done(folder.path(), arguments)).unwrap();
        let note = svg.find(">Both finals are longs.</text>");
        note.map(|place| svg.rfind("data-index").unwrap() < place)
    };
    assert_eq!(notes("score duo.parts -o - --as svg"), None);
    assert_eq!(notes("score duo.parts -o - --as svg --notes"), Some(true));
}

/// What an edition has over its music stands on pages; a picture of the music alone has it if asked for.
#[test]
fn a_page_has_incipits_and_a_title() {
    let folder = folder();
    let words = |options: &str| -> Vec<bool> {
        done(folder.path(), &format!("score other.parts -o other.svg {options}"));
        let name = if options.contains("page") { "other-1.svg" } else { "other.svg" };
        let svg = String::from_utf8(read(folder.path(), name)).unwrap();
        assert!(svg.contains("<title>other</title>"));
        [">other</text>", ">Cantus</text>", "class=\"incipit\""]
            .map(|word| svg.contains(word))
            .into()
    };
    assert_eq!(words("--page a4"), [true, true, true]);
    assert_eq!(words("--page a4 --incipits never"), [true, false, false]);
    assert_eq!(words(""), [false, false, false]);
    assert_eq!(words("--incipits always"), [false, true, true]);
    assert_eq!(words("--staves open"), [false, true, false]);
}

/// The signs of music are in another face than the words; the last character is in none.
#[test]
fn characters_that_no_face_has_are_named() {
    let folder = folder();
    let titled = DUO.replace("A duo", "In B\u{266d} \u{6587}");
    fs::write(folder.path().join("titled.parts"), titled).unwrap();
    for output in ["titled.pdf", "titled.svg"] {
        let (status, _, err) = run(folder.path(), &format!("score titled.parts -o {output}"));
        assert_eq!(status, 0);
        assert!(err.starts_with("titled.parts: no face here has \u{6587} (U+6587): "), "{err}");
    }
}

#[test]
fn pieces_become_a_book() {
    let folder = folder();
    done(folder.path(), "score duo.parts other.parts -o book.pdf --jobs 1");
    let book = read(folder.path(), "book.pdf");
    done(folder.path(), "score duo.parts other.parts -o book.pdf");
    assert!(book == read(folder.path(), "book.pdf"), "the same bytes on any number of cores");
    let text = String::from_utf8_lossy(&book);
    assert!(text.contains("A duo") && text.contains("other"), "an entry for each piece");
    // A piece with an error is in the book; one that cannot be read leaves it unwritten.
    let (status, _, err) = run(folder.path(), "score duo.parts long.parts -o second.pdf");
    assert!(status == 1 && err.contains("long.parts: the voices do not end together"), "{err}");
    assert!(folder.path().join("second.pdf").is_file());
    let (status, _, err) = run(folder.path(), "score duo.parts nothing.parts -o third.pdf");
    assert!(status == 2 && err.contains("cannot read nothing.parts"), "{err}");
    assert!(!folder.path().join("third.pdf").exists());
}

#[test]
fn what_is_too_large_for_the_paper_is_said() {
    let folder = folder();
    let bar = format!("voice A clef C1\n sf {} lg A\n", "A4 B C5 D E F E D ".repeat(8));
    fs::write(folder.path().join("bar.parts"), bar).unwrap();
    let (status, _, err) = run(folder.path(), "score bar.parts -o bar.pdf --size 20");
    assert_eq!(status, 0);
    assert!(
        err.starts_with("bar.parts: staves are ") && err.contains(" mm high, not 20, "),
        "{err}"
    );
}

/// The width and the height of a PNG file (PNG specification, section 11.2.2).
fn size(png: &[u8]) -> [u32; 2] {
    [16, 20].map(|at| u32::from_be_bytes(png[at..at + 4].try_into().unwrap()))
}

#[test]
fn a_page_no_larger_than_the_music() {
    let folder = folder();
    done(folder.path(), "score duo.parts -o duo.png");
    done(folder.path(), "score duo.parts -o fit.png -o fit.pdf -o fit.svg --page fit");
    let whole = size(&read(folder.path(), "duo.png"));
    let fit = size(&read(folder.path(), "fit.png"));
    assert!(fit[0] < whole[0] && fit[1] < whole[1], "{fit:?} of {whole:?}");
    assert!(read(folder.path(), "fit.pdf").starts_with(b"%PDF"));
    assert!(folder.path().join("fit.svg").is_file(), "it is one page, without a number");
    // A book of two has a page for each.
    done(folder.path(), "score duo.parts other.parts -o book.pdf --page fit");
    // The type of colours in a PNG file: 0 grey, 4 grey with transparency.
    assert_eq!(read(folder.path(), "fit.png")[25], 0);
    done(folder.path(), "score duo.parts -o clear.png --page fit --transparent");
    assert_eq!(read(folder.path(), "clear.png")[25], 4);
}

#[test]
fn a_piece_on_one_page() {
    let folder = folder();
    let music = "sb A4 B C5 D ".repeat(60);
    let piece = format!("voice A clef C1\n {music} lg A4\n");
    fs::write(folder.path().join("piece.parts"), piece).unwrap();
    fs::write(
        folder.path().join("endless.parts"),
        format!("voice A clef C1\n {} lg A4\n", music.repeat(20)),
    )
    .unwrap();
    done(folder.path(), "score piece.parts -o two.svg --page a4");
    assert!(folder.path().join("two-2.svg").is_file());
    let (status, _, err) = run(folder.path(), "score piece.parts -o one.svg --page a4 --fit one");
    assert_eq!(status, 0);
    assert!(err.is_empty() || err.ends_with("so that the piece fits on one page\n"), "{err}");
    assert!(folder.path().join("one-1.svg").is_file() && !folder.path().join("one-2.svg").exists());
    let (status, _, err) = run(folder.path(), "score endless.parts -o endless.pdf --fit one");
    assert_eq!(status, 0);
    let said = "endless.parts: too long for one page, even with staves of 3.7 mm; it has ";
    assert!(err.starts_with(said), "{err}");
}

#[test]
fn contradictions_are_said_in_plain_words() {
    let folder = folder();
    for (arguments, said) in [
        ("duo.parts -o duo.svg --page a4 --width 300", "leave out --width or --page"),
        ("duo.parts -o duo.pdf --width 300", "a PDF stands on paper"),
        ("duo.parts -o duo.svg --landscape", "add --page a4"),
        ("duo.parts -o duo.svg --page a5", "[possible values: a4, letter, fit]"),
        ("duo.parts -o - --as svg --page a4", "pages are a file each"),
        ("duo.parts -o duo.png --dpi 1200 --width 2000", "pixels are too many for one PNG"),
        ("duo.parts other.parts -o a.pdf -o b.svg", "only a PDF holds several pieces"),
        ("duo.parts other.parts -o a.pdf --audit", "one piece at a time"),
        ("duo.parts other.parts --audit", "one piece at a time"),
        ("duo.parts -o duo.pdf --page fit --landscape", "leave out one of them"),
        ("duo.parts -o duo.svg --fit one", "add --page a4"),
        ("duo.parts -o duo.pdf --fit one --page fit", "here is no paper"),
        ("duo.parts -o duo.pdf --transparent", "or name a PNG"),
        ("duo.parts -o duo.pdf --margin 3", "--margin is at least 5"),
        ("duo.parts -o duo.unknown", ".svg, .pdf, .png"),
    ] {
        let (status, _, err) = run(folder.path(), &format!("score {arguments}"));
        assert_eq!(status, 2, "{arguments}: {err}");
        assert!(err.contains(said), "{arguments}: {err}");
    }
    let left = fs::read_dir(folder.path()).unwrap().count();
    assert_eq!(left, 3, "nothing was written");
}
