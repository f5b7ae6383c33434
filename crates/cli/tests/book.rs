//! `book`, and figures for somebody else's page.

mod support;

use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::Stdio;
use std::time::{Duration, Instant};

use support::{cartella, folder, run, run_for_bytes};

const DUO: &str =
    "voice Cantus clef C1\n  sb A4 B lg C5 //\nvoice Tenor clef C4\n  sb D3 G3 lg C3 //\n";
const TEXT: &str = "# On duos\n\n## The first\n\n![A duo](duos.parts#1)\n";

fn book(text: &str) -> tempfile::TempDir {
    let duos = format!("example 1\n{DUO}");
    folder(&[("book.md", text), ("duos.parts", &duos)])
}

#[test]
fn a_folder_becomes_a_pdf_and_a_site() {
    let folder = book(TEXT);
    let (status, out, err) = run(folder.path(), "book . -o book.pdf --site site --sound");
    assert_eq!((status, out.as_str(), err.as_str()), (0, "", ""));
    let read = |name: &str| fs::read(folder.path().join(name)).unwrap();
    assert!(read("book.pdf").starts_with(b"%PDF"));
    assert!(read("site/the-first.html").starts_with(b"<!DOCTYPE html>"));
    assert!(read("site/examples/duos-1.flac").starts_with(b"fLaC"));
    assert!(read("site/examples/duos-1.mid").starts_with(b"MThd"));
    // The text itself may be named, and the PDF go on.
    let (status, out, _) = run_for_bytes(folder.path(), "book book.md -o -");
    assert!(status == 0 && out == read("book.pdf"), "the same book gives the same bytes");
}

#[test]
fn what_is_as_it_was_is_not_written_again() {
    let folder = book(TEXT);
    let made = |name: &str| {
        fs::metadata(folder.path().join("site").join(name)).unwrap().modified().unwrap()
    };
    let names = ["index.html", "examples/duos-1.flac", "examples/duos-1.mid", "the-first.html"];
    run(folder.path(), "book . --site site --sound");
    let before = names.map(made);
    run(folder.path(), "book . --site site --sound");
    assert_eq!(names.map(made), before);
    let changed = format!("example 1\n{}", DUO.replace("A4 B", "A4 G"));
    fs::write(folder.path().join("duos.parts"), changed).unwrap();
    run(folder.path(), "book . --site site --sound");
    let after = names.map(made);
    assert!(after[0] == before[0] && after[1] > before[1] && after[3] > before[3]);
}

#[test]
fn what_is_wrong_is_said_and_the_rest_is_made() {
    let text = format!("{TEXT}\n![Another](duos.parts#2)\n\nSee [](#there).\n");
    let folder = book(&text);
    let (status, _, err) = run(folder.path(), "book . -o book.pdf --site site");
    assert_eq!(status, 1);
    assert_eq!(
        err,
        "book.md:7: there is no duos.parts#2; its examples are 1\n\
         book.md:9: there is no heading #there; chapters are #the-first\n\
         book.md: 2 errors; what can be made of the book is made all the same\n"
    );
    assert!(folder.path().join("book.pdf").is_file());
    assert!(folder.path().join("site/the-first.html").is_file());
}

#[test]
fn what_cannot_be_done_is_said() {
    let folder = book(TEXT);
    for (arguments, said) in [
        ("book .", "say what to make of the book"),
        ("book nowhere -o book.pdf", "cannot read nowhere"),
        ("book . -o duos.parts", "it is what is read"),
        ("book . --site duos.parts", "duos.parts is not a folder"),
        ("book . -o a.pdf --sound", "--site"),
    ] {
        let (status, _, err) = run(folder.path(), arguments);
        assert!(status == 2 && err.contains(said), "{arguments}: {err}");
    }
    let before = fs::read_to_string(folder.path().join("duos.parts")).unwrap();
    assert!(before.starts_with("example 1"));
}

#[test]
fn the_words_of_a_book_are_in_its_language() {
    let folder = book(TEXT);
    let contents = |arguments: &str| {
        run(folder.path(), arguments);
        fs::read_to_string(folder.path().join("site/index.html")).unwrap()
    };
    assert!(contents("book . --site site").contains("<h2>Contents</h2>"));
    let german = contents("book . --site site --lang de");
    assert!(german.contains("<h2>Inhalt</h2>") && german.contains("<html lang=\"de\""));
    fs::write(folder.path().join("book.md"), TEXT.replace("On duos", "On duos {lang=fr}")).unwrap();
    assert!(contents("book . --site site").contains("<h2>Table des matières</h2>"));
}

/// A change of any file of the book is answered.
#[test]
fn a_change_makes_the_book_again() {
    let folder = book(TEXT);
    let mut child = cartella(folder.path(), "book . --site site --watch")
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(child.stderr.take().unwrap()).lines();
    assert!(lines.next().unwrap().unwrap().starts_with("watching"));
    let page = folder.path().join("site/the-first.html");
    let begin = Instant::now();
    // Writing again and again misses nothing.
    while !fs::read_to_string(&page).unwrap_or_default().contains("data-voice=\"Bassus\"") {
        let changed = format!("example 1\n{}", DUO.replace("Tenor", "Bassus"));
        fs::write(folder.path().join("duos.parts"), changed).unwrap();
        std::thread::sleep(Duration::from_millis(300));
        assert!(begin.elapsed() < Duration::from_secs(30), "the change was not seen");
    }
    child.kill().unwrap();
    child.wait().unwrap();
}

/// The notes that are drawn in a part of a page, as voice and number, each once.
fn notes(part: &str) -> Vec<String> {
    let mut notes: Vec<String> = Vec::new();
    for voice in part.split("data-voice=\"").skip(1) {
        let name = voice.split('"').next().unwrap();
        for note in voice.split("data-index=\"").skip(1) {
            let (number, rest) = note.split_once('"').unwrap();
            if !rest.split_once('>').unwrap().1.starts_with("</g>") {
                notes.push(format!("{name} {number}"));
            }
        }
    }
    notes.sort_unstable();
    notes.dedup();
    notes
}

/// The score and the copy of an example show the same part of it.
#[test]
fn a_part_of_an_example_is_the_same_in_all_views() {
    let folder = book(TEXT);
    let views = |attributes: &str| {
        let text = TEXT.replace("#1)", &format!("#1){attributes}"));
        fs::write(folder.path().join("book.md"), text).unwrap();
        let said = run(folder.path(), "book . --site site -o book.pdf");
        assert_eq!(said, (0, String::new(), String::new()), "{attributes}");
        let page = fs::read_to_string(folder.path().join("site/the-first.html")).unwrap();
        let (score, copy) = page.split_once("<details class=\"copy\">").unwrap();
        let layout = score.split_once("<div class=\"layout").unwrap().1;
        let (layout, copy) = (notes(layout), notes(copy.split_once("</details>").unwrap().0));
        assert_eq!(layout, copy, "{attributes}");
        layout
    };
    let (cantus, tenor) = (["Cantus 1", "Cantus 2", "Cantus 3"], ["Tenor 1", "Tenor 2", "Tenor 3"]);
    assert_eq!(views(""), [cantus, tenor].concat());
    assert_eq!(views("{bars=1}"), [&cantus[..2], &tenor[..2]].concat());
    assert_eq!(views("{bars=2 voices=Tenor}"), tenor[2..]);
    assert_eq!(views("{without=Tenor}"), cantus);
    assert_eq!(views("{blank=Tenor staves=open}"), cantus);
    let text = TEXT.replace("#1)", "#1){blank=Altus}");
    fs::write(folder.path().join("book.md"), text).unwrap();
    let (status, _, err) = run(folder.path(), "book . --site site");
    assert_eq!(status, 1);
    assert!(err.contains("it has no voice Altus; its voices are Cantus, Tenor"), "{err}");
}

/// The number and the folio of the source stand beside those of the book; what refers to an example has the
/// book's number, also when that changes.
#[test]
fn numbers_of_the_source_and_of_the_book() {
    let text = "# On duos\n\n## The first\n\n![A duo](duos.parts#1){number=XII folio=14v}\n\n\
                ![Another](duos.parts#2){folio=15r}\n\nSee [](duos.parts#2).\n";
    let folder = book(text);
    fs::write(folder.path().join("duos.parts"), format!("example 1\n{DUO}example 2\n{DUO}"))
        .unwrap();
    let read = |name: &str| fs::read_to_string(folder.path().join("site").join(name)).unwrap();
    let pdf = || {
        let out = std::process::Command::new("pdftotext")
            .args(["book.pdf", "-"])
            .current_dir(folder.path())
            .output()
            .unwrap();
        String::from_utf8_lossy(&out.stdout).split_whitespace().collect::<Vec<_>>().join(" ")
    };
    run(folder.path(), "book . --site site -o book.pdf");
    for page in ["the-first.html", "index.html", "search-index.js"] {
        let page = read(page);
        assert!(page.contains("XII, fol. 14v in the source"), "{page}");
        assert!(page.contains("fol. 15r in the source"), "{page}");
    }
    assert!(read("the-first.html").contains("#example-duos-2\">Example\u{a0}1.2</a>"));
    let has_poppler = std::process::Command::new("pdftotext").arg("-v").output().is_ok();
    if has_poppler {
        let text = pdf();
        assert!(text.contains("Example 1.1. A duo (XII, fol. 14v in the source)"), "{text}");
        let index = text.split_once("Index of examples 1.1").unwrap().1;
        assert!(index.contains("Another (fol. 15r in the source)"), "{text}");
        assert!(text.contains("See Example 1.2."), "{text}");
    }
    // The other way round, and counted through the book.
    let lines: Vec<&str> = text.split("\n\n").collect();
    let [title, chapter, first, second, see] = lines[..] else { panic!() };
    let turned = format!("{title} {{numbers=book}}\n\n{chapter}\n\n{second}\n\n{first}\n\n{see}");
    fs::write(folder.path().join("book.md"), turned).unwrap();
    run(folder.path(), "book . --site site -o book.pdf");
    assert!(read("the-first.html").contains("#example-duos-2\">Example\u{a0}1</a>"));
    if has_poppler {
        let text = pdf();
        assert!(text.contains("Example 2. A duo (XII, fol. 14v in the source)"), "{text}");
        assert!(text.contains("See Example 1."), "{text}");
    }
}

/// Pictures of a source are shown where somebody has allowed it, and nowhere else.
#[test]
fn strips_need_a_permission() {
    let folder = folder(&[("a.parts", DUO), ("b.parts", DUO)]);
    for name in ["a", "b"] {
        for arguments in [
            format!("proof {name}.parts -o {name}.png --dpi 120"),
            format!("proof {name}.parts --strips --facsimile {name}.png --write"),
        ] {
            assert_eq!(run(folder.path(), &arguments).0, 0, "{arguments}");
        }
    }
    let page = |attributes: &str| {
        let text = format!("# A\n\n## B\n\n![](a.parts){attributes}\n\n![](b.parts){attributes}\n");
        fs::write(folder.path().join("book.md"), text).unwrap();
        assert_eq!(run(folder.path(), "book . --site site"), (0, String::new(), String::new()));
        fs::read_to_string(folder.path().join("site/b.html")).unwrap()
    };
    let without = page("");
    assert!(!without.contains("data:image") && !without.contains("facsimile"));
    let with = page("{permission=\"By leave of the chapter\"}");
    assert_eq!(with.matches("By leave of the chapter").count(), 2);
    // Each example has its own picture.
    for name in ["a", "b"] {
        let id = format!("id=\"example-{name}-page0\"");
        assert_eq!(with.matches(&id).count(), 1, "{id}");
    }
    fs::remove_file(folder.path().join("a.png")).unwrap();
    let (status, _, err) = run(folder.path(), "book . --site site");
    assert!(status == 1 && err.starts_with("a.parts:1: cannot read a.png"), "{err}");
}

fn figure(folder: &Path, arguments: &str, name: &str) -> String {
    let (status, _, err) = run(folder, arguments);
    assert_eq!(status, 0, "{err}");
    fs::read_to_string(folder.join(name)).unwrap()
}

#[test]
fn a_figure_stands_alone_under_a_lasting_name() {
    let folder = book(TEXT);
    let one = figure(folder.path(), "score duos.parts#1 -o one.html", "one.html");
    assert!(one.contains("<figure class=\"example\" id=\"example-duos-1\">"));
    for outside in ["src=\"", "http://", "https://", "@import"] {
        // The name of the elements themselves is an address that nobody opens.
        let page = one.replace("http://www.w3.org/", "");
        assert!(!page.contains(outside), "{outside}");
    }
    // Drawings have names of their own, so that several figures may stand in one page.
    fs::write(folder.path().join("other.parts"), DUO).unwrap();
    let other = figure(folder.path(), "score other.parts -o other.html", "other.html");
    let ids = |page: &str| -> Vec<String> {
        let ids = page.split(" id=\"").skip(1).filter_map(|rest| rest.split_once('"'));
        ids.map(|(id, _)| id.to_owned()).collect()
    };
    let (one_ids, other_ids) = (ids(&one), ids(&other));
    assert!(one_ids.len() > 5 && one_ids.iter().all(|id| !other_ids.contains(id)));
    // Both have the same script, which serves all figures and does nothing the second time.
    let script = |page: &str| page.split_once("//<![CDATA[").unwrap().1.to_owned();
    assert_eq!(script(&one), script(&other));
    // A passage, as in every output.
    let passage = figure(folder.path(), "score other.parts --bars 1 -o bar.html", "bar.html");
    assert!(passage.len() < other.len());
}

/// Every command of the book's page is run as it stands there.
#[test]
fn the_commands_of_the_page_run() {
    let folder = folder(&[("duo.parts", DUO)]);
    let treatise = folder.path().join("treatise");
    fs::create_dir(&treatise).unwrap();
    fs::write(treatise.join("book.md"), TEXT).unwrap();
    fs::write(treatise.join("duos.parts"), format!("example 1\n{DUO}")).unwrap();
    let page = include_str!("../../../docs/book.md");
    let blocks = page.split("```sh\n").skip(1).filter_map(|rest| rest.split_once("```"));
    let lines: Vec<&str> = blocks.flat_map(|(block, _)| block.lines()).collect();
    assert_eq!(lines.len(), 5);
    for line in lines {
        let arguments = line.strip_prefix("cartella ").unwrap().split('#').next().unwrap();
        let (status, _, err) = run(folder.path(), arguments);
        assert_eq!((status, err.as_str()), (0, ""), "{line}");
    }
}
