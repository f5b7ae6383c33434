//! `read` of pictures, made here by the command itself.

mod support;

use std::fs;
use std::path::Path;

use cartella::facsimile::image::GrayImage;
use support::{folder, run};

const CANTUS: &str = "\
voice Cantus clef C1 sign C|
  sb _ A4 D5 mn C B ~A /
  A4. .G F A C sb D mn C# lg D //
";

const TENOR: &str = "\
voice Tenor clef C4 sign C|
  sb D3 A mn G F E D ~F /
  sb F3 D mn A F sb E lg D //
";

/// A folder with a picture of each voice as its source prints it.
fn scanned() -> tempfile::TempDir {
    let folder = folder(&[("cantus.parts", CANTUS), ("tenor.parts", TENOR)]);
    for voice in ["cantus", "tenor"] {
        let command = format!("proof {voice}.parts -o {voice}.png --dpi 150 --page a4");
        let (status, _, err) = run(folder.path(), &command);
        assert_eq!((status, err.as_str()), (0, ""));
        let page = |name: String| folder.path().join(name);
        fs::rename(page(format!("{voice}-1.png")), page(format!("{voice}.png"))).unwrap();
    }
    folder
}

fn text(folder: &Path, name: &str) -> String {
    fs::read_to_string(folder.join(name)).unwrap()
}

#[test]
fn part_books() {
    let folder = scanned();
    let (status, out, err) = run(folder.path(), "read cantus.png tenor.png -o duo.parts");
    assert_eq!((status, out.as_str()), (0, ""), "{err}");
    let read = text(folder.path(), "duo.parts");
    let items: Vec<&str> = read.lines().filter(|line| line.starts_with("facsimile")).collect();
    assert_eq!(items.len(), 4, "{read}");
    assert!(items[0].starts_with("facsimile Cantus 1 cantus.png 1 "), "{read}");
    assert!(items[3].starts_with("facsimile Tenor 2 tenor.png 1 "), "{read}");
    assert!(read.contains("\nvoice Cantus  clef C1") && read.contains("\nvoice Tenor  clef C4"));
    // Nothing is written over.
    let (status, _, err) = run(folder.path(), "read cantus.png tenor.png -o duo.parts");
    assert_eq!(status, 2, "{err}");
    assert_eq!(text(folder.path(), "duo.parts"), read);
    // Each line has its strip.
    let (status, _, err) = run(folder.path(), "proof duo.parts -o sheet.svg");
    assert_eq!((status, err.as_str()), (0, ""));
    assert_eq!(text(folder.path(), "sheet.svg").matches("<image ").count(), 2);
}

/// Pages that the command prints, coarse and fine, are read as they are; their signs stand far apart.
#[test]
fn what_is_printed_is_read() {
    for dpi in [100, 150, 200, 300] {
        let folder = folder(&[("cantus.parts", CANTUS), ("tenor.parts", TENOR)]);
        for voice in ["cantus", "tenor"] {
            let command = format!("proof {voice}.parts -o {voice}.png --dpi {dpi} --page a4");
            assert_eq!(run(folder.path(), &command).0, 0);
        }
        let command = "read Cantus=cantus-1.png Tenor=tenor-1.png -o duo.parts";
        let (status, _, err) = run(folder.path(), command);
        assert_eq!(status, 0, "{err}");
        assert!(!err.contains("doubtful"), "{dpi}: {err}");
        let read = text(folder.path(), "duo.parts");
        let typed = |voice: &str| voice.replace(" clef", "  clef").replace(" sign C|", "");
        for expected in ["sign    C|\n", &typed(CANTUS), &typed(TENOR)] {
            assert!(read.contains(expected), "{dpi}: {read}");
        }
    }
}

/// A page on which the voices follow one another; then two such pages, the second with the Tenor above.
#[test]
fn voices_below_one_another() {
    let duo = format!("{CANTUS}{TENOR}");
    let folder =
        folder(&[("duo.parts", duo.as_str()), ("other.parts", &format!("{TENOR}{CANTUS}"))]);
    for name in ["duo", "other"] {
        let command = format!("proof {name}.parts -o {name}.png --dpi 150 --page a4");
        assert_eq!(run(folder.path(), &command).0, 0);
    }
    let (status, _, err) = run(folder.path(), "read Cantus+Tenor=duo-1.png -o read.parts");
    assert_eq!(status, 0, "{err}");
    let said = "duo-1.png: lines 1 to 2 are of Cantus, lines 3 to 4 are of Tenor\n";
    assert!(err.starts_with(said), "{err}");
    let read = text(folder.path(), "read.parts");
    assert!(read.contains("\nvoice Cantus  clef C1") && read.contains("\nvoice Tenor  clef C4"));
    assert!(read.contains("facsimile Cantus 2 duo-1.png 1 "), "{read}");
    assert!(read.contains("facsimile Tenor 1 duo-1.png 1 "), "{read}");

    for (number, voices) in ["Cantus:2+Tenor", "Cantus:2+Tenor:2"].into_iter().enumerate() {
        let command = format!("read {voices}=duo-1.png -o same-{number}.parts");
        let (_, _, err) = run(folder.path(), &command);
        assert!(err.starts_with(said), "{err}");
        assert_eq!(text(folder.path(), &format!("same-{number}.parts")), read);
    }

    let command = "read Tenor+Cantus=other-1.png Cantus+Tenor=duo-1.png -o two.parts";
    let (status, _, err) = run(folder.path(), command);
    assert_eq!(status, 0, "{err}");
    let two = text(folder.path(), "two.parts");
    let voices: Vec<&str> = two.lines().filter(|line| line.starts_with("voice")).collect();
    let begins = |voice: &str, begin: &str| assert!(voice.starts_with(begin), "{two}");
    assert_eq!(voices.len(), 2);
    begins(voices[0], "voice Cantus  clef C1");
    begins(voices[1], "voice Tenor  clef C4");
    assert!(two.contains("facsimile Tenor 4 duo-1.png 1 "), "{two}");
    assert_eq!(two.matches("//\n").count(), 4, "a page ends with each file: {two}");

    // Of several files, one may be blank: it is said.
    GrayImage::from_pixel(600, 400, [255].into()).save(folder.path().join("blank.png")).unwrap();
    let command = "read Cantus+Tenor=duo-1.png Cantus+Tenor=blank.png -o blank.parts";
    let (status, _, err) = run(folder.path(), command);
    assert!(status == 0 && err.contains("\nblank.png: no music is found\n"), "{err}");

    // However a voice is typed, it is the same.
    let command = "read cantus+tenor=duo-1.png Cantus+Tenor=duo-1.png -o twice.parts";
    assert_eq!(run(folder.path(), command).0, 0);
    assert_eq!(text(folder.path(), "twice.parts").matches("\nvoice ").count(), 2);

    let (_, _, err) = run(folder.path(), "read duo-1.png -o one.parts");
    let said = "duo-1.png seems to show 2 voices, one below another; if so, name all of them: \
                Cantus+Tenor=duo-1.png\n";
    assert!(err.starts_with(said), "{err}");

    for (voices, said) in [
        ("Cantus:3+Tenor:3", "there are 4 lines with music, but 3 and 3 as it was typed"),
        ("Cantus:9+Tenor", "there are 4 lines with music, but 9 and 0 as it was typed"),
        ("Cantus:3", "there are 4 lines with music, but 3 as it was typed"),
        ("A:18446744073709551615+B:5", "after the : comes how many lines A has, as in A:4"),
        ("A:+B", "after the : comes how many lines A has, as in A:4"),
        ("Cantus+", "type each voice, as in Cantus+Tenor=duo-1.png"),
        (
            "Cantus:1+Altus+Tenor",
            "say of each voice but the last how many lines it has, or of none",
        ),
        ("Cantus+Cantus", "Cantus is named twice"),
        ("A+B+C+D+E", "there are 4 lines with music, too few for 5 voices"),
    ] {
        let command = format!("read {voices}=duo-1.png -o none.parts");
        let (status, _, err) = run(folder.path(), &command);
        assert_eq!(status, 2, "{voices}: {err}");
        assert!(err.contains(said), "{voices}: {err}");
        assert!(!folder.path().join("none.parts").exists());
    }
}

/// A voice that goes on in another file; pictures in a folder of their own.
/// Voices in systems: their lines take turns, which their clefs tell, or who reads them.
#[test]
fn voices_that_take_turns() {
    let folder = folder(&[("duo.parts", &format!("layout stacked\n{CANTUS}{TENOR}"))]);
    let in_folder = |command: &str| run(folder.path(), command);
    assert_eq!(in_folder("proof duo.parts -o duo.png --dpi 150 --page a4").0, 0);
    let (status, _, err) = in_folder("read Cantus+Tenor=duo-1.png -o told.parts");
    assert_eq!(status, 0, "{err}");
    let said = "duo-1.png: the lines of Cantus and Tenor take turns, 2 of each\n";
    assert!(err.starts_with(said), "{err}");
    let told = text(folder.path(), "told.parts");
    for (voice, line) in [("Cantus", "A4. .G F A C sb D"), ("Tenor", "sb F3 D mn A F sb E lg D")] {
        let after = told.split(&format!("\nvoice {voice} ")).nth(1).unwrap();
        assert!(after.lines().nth(2).unwrap().contains(line), "{told}");
    }
    let (status, _, err) = in_folder("read Cantus,Tenor=duo-1.png -o typed.parts");
    assert!(status == 0 && err.starts_with(said), "{err}");
    assert_eq!(text(folder.path(), "typed.parts"), told);
    // One voice only: it is said that there are two.
    let (_, _, err) = in_folder("read Cantus=duo-1.png -o one.parts");
    assert!(err.contains("seems to show 2 voices"), "{err}");

    for (words, why) in [
        (
            "Cantus,Altus,Tenor=duo-1.png",
            "there are 4 lines with music, which does not come out even",
        ),
        ("Cantus,Altus+Tenor=duo-1.png", "or a comma between those whose lines take turns"),
        ("Cantus:2,Tenor=duo-1.png", "or a comma between those whose lines take turns"),
        ("Cantus,=duo-1.png", "type each voice, as in Cantus,Tenor=duo-1.png"),
    ] {
        let (status, _, err) = in_folder(&format!("read {words} -o no.parts"));
        assert!(status == 2 && err.contains(why), "{words}: {err}");
    }
}

#[test]
fn voices_are_named() {
    let folder = scanned();
    fs::create_dir(folder.path().join("scans")).unwrap();
    for voice in ["cantus", "tenor"] {
        let page = |name: String| folder.path().join(name);
        fs::rename(page(format!("{voice}.png")), page(format!("scans/{voice}.png"))).unwrap();
    }
    let command =
        "read Canto=scans/cantus.png Basso=scans/tenor.png Canto=scans/cantus.png -o out.parts";
    let (status, _, err) = run(folder.path(), command);
    assert_eq!(status, 0, "{err}");
    let read = text(folder.path(), "out.parts");
    assert!(read.contains("facsimile Canto 4 scans/cantus.png 1 "), "{read}");
    assert!(read.contains("facsimile Basso 2 scans/tenor.png 1 "), "{read}");
    let canto = read.split("voice ").find(|voice| voice.starts_with("Canto")).unwrap();
    assert_eq!(canto.matches("//\n").count(), 2, "a page ends with each file: {read}");
}

/// What a photograph has: soft shades, an edge, a fence, and grain.
fn landscape() -> GrayImage {
    GrayImage::from_fn(900, 600, |x, y| {
        let (across, down) = (x as f32 / 900.0, y as f32 / 600.0);
        let hill = 0.5 + 0.1 * (7.0 * across).sin() + 0.03 * (31.0 * across).cos();
        let soft = if down < hill { 0.9 - 0.3 * down } else { 0.5 - 0.3 * (down - hill) };
        let fence = down > 0.8 && (y / 6 % 4 == 0 || x / 9 % 8 == 0);
        let grain = (x.wrapping_mul(7919) ^ y.wrapping_mul(104_729)) % 23;
        let shade = if fence { 0.5 * soft } else { soft };
        [(200.0 * shade + grain as f32) as u8].into()
    })
}

/// Modern notation, a page of words, a white page, a photograph: said, and nothing is written.
#[test]
fn what_is_no_such_music() {
    let folder = scanned();
    fs::write(folder.path().join("duo.parts"), format!("{CANTUS}\n{TENOR}")).unwrap();
    let (status, _, err) = run(folder.path(), "score duo.parts -o modern.png --page a4 --dpi 150");
    assert_eq!((status, err.as_str()), (0, ""));
    let white = GrayImage::from_pixel(600, 400, [255].into());
    white.save(folder.path().join("white.png")).unwrap();
    landscape().save(folder.path().join("landscape.jpg")).unwrap();
    fs::create_dir(folder.path().join("words")).unwrap();
    let words = "# On keys\n\n## Of fingers\n\n".to_owned() + &"Keep the hand still. ".repeat(200);
    fs::write(folder.path().join("words/book.md"), words).unwrap();
    assert_eq!(run(folder.path(), "book words -o words.pdf").0, 0);
    for picture in ["modern-1.png", "white.png", "landscape.jpg", "words.pdf"] {
        let (status, out, err) = run(folder.path(), &format!("read Tenor={picture} -o out.parts"));
        assert_eq!((status, out.as_str()), (1, ""), "{picture}: {err}");
        assert!(err.starts_with("Tenor: no ") && err.ends_with("nothing is written\n"), "{err}");
        assert!(!folder.path().join("out.parts").exists());
    }
}

#[test]
fn what_cannot_be_read() {
    let folder = scanned();
    fs::write(folder.path().join("broken.png"), b"\x89PNG\r\n\x1a\nnothing").unwrap();
    fs::write(folder.path().join("no.mei"), "<mei/>").unwrap();
    // A few bytes that say they are a picture of 4 000 000 pixels by 400: the width stands after the
    // signature, the length and the name of the first part (PNG specification, sections 5.2 and 11.2.1).
    let mut huge = fs::read(folder.path().join("tenor.png")).unwrap();
    huge[16..20].copy_from_slice(&4_000_000_u32.to_be_bytes());
    fs::write(folder.path().join("huge.png"), &huge).unwrap();
    fs::write(folder.path().join("half.png"), &huge[..huge.len() / 2]).unwrap();
    fs::write(folder.path().join("broken.pdf"), b"%PDF-1.7\n1 0 obj\nnothing").unwrap();
    for (command, said) in [
        ("read Tenor=broken.png -o out.parts", "broken.png: it cannot be read: "),
        ("read Tenor=huge.png -o out.parts", "huge.png: it "),
        ("read Tenor=half.png -o out.parts", "half.png: it "),
        ("read Tenor=broken.pdf -o out.parts", "broken.pdf: it cannot be read: "),
        ("read Tenor=no.mei -o out.parts", "no.mei: it is not a picture: "),
        ("read Tenor=none.png -o out.parts", "cannot read none.png: "),
        (
            "read tenor.png no.mei -o out.parts",
            "no.mei is no picture (PNG, JPEG, PDF), but others are",
        ),
        (
            "read =tenor.png -o out.parts",
            "=tenor.png: type the voice before it, as in Tenor=tenor.png",
        ),
        (
            "read Tenor=tenor.png cantus.png -o out.parts",
            "which voice does cantus.png show? Type it",
        ),
        ("read tenor.png -o tenor.png --replace", "cannot write tenor.png: it is what is read"),
    ] {
        let (status, _, err) = run(folder.path(), command);
        assert_eq!(status, 2, "{command}: {err}");
        assert!(err.starts_with(&format!("cartella: {said}")), "{command}: {err}");
        assert!(!folder.path().join("out.parts").exists(), "{command}");
    }
}

/// A print is learned from what was read and proofed, and read by its style from then on.
#[test]
fn a_print_is_learned() {
    let folder = scanned();
    let (status, _, err) = run(folder.path(), "read cantus.png tenor.png -o duo.parts");
    assert_eq!(status, 0, "{err}");
    let read = text(folder.path(), "duo.parts");
    // Proofed, but for one line.
    let proofed = read.replace('?', "");
    let doubtful = proofed.replacen("D3", "D3?", 1);
    fs::write(folder.path().join("duo.parts"), doubtful).unwrap();
    let (status, out, err) = run(folder.path(), "read --learn duo.parts -o drawn.style --steps 1");
    assert_eq!((status, out.as_str()), (0, ""), "{err}");
    let said: Vec<&str> = err.lines().collect();
    assert_eq!(said[0], "1 line is not taken as proofed: a doubt (?) stands in it");
    assert!(said[1].starts_with("of 1 line not proofed, "), "{err}");
    assert!(said[2].contains(" signs on 3 lines proofed, "), "{err}");
    // A picture that is named besides is the same picture: its staves are not taken twice.
    let command =
        "read --learn Canto=./cantus.png duo.parts tenor.png -o drawn.style --steps 1 --replace";
    assert_eq!(run(folder.path(), command), (0, String::new(), err));
    let command = "read --print-style drawn.style cantus.png tenor.png -o again.parts";
    let (status, _, err) = run(folder.path(), command);
    assert_eq!(status, 0, "{err}");
    let again = text(folder.path(), "again.parts");
    assert_eq!(again.matches("\nvoice ").count(), 2, "{again}");
    // Nothing is written over, and the work not begun.
    let (status, _, err) = run(folder.path(), "read --learn duo.parts -o drawn.style");
    assert_eq!(status, 2, "{err}");
}

#[test]
fn what_teaches_nothing() {
    let folder = folder(&[
        ("plain.parts", CANTUS),
        ("wrong.parts", "voice Cantus clef C1\n  sb A4 x /\n"),
        ("far.parts", &format!("facsimile Cantus 1 white.png 1 5 5 50 20 0\n\n{CANTUS}")),
        ("gone.parts", &format!("facsimile Cantus 1 gone.png 1 5 5 50 20 0\n\n{CANTUS}")),
        ("no.style", "cartella print style 1\n"),
    ]);
    GrayImage::from_pixel(600, 400, [255].into()).save(folder.path().join("white.png")).unwrap();
    for (command, status, said) in [
        ("read --learn plain.parts", 2, "name its file, as in -o"),
        ("read --learn plain.parts -o a.style", 2, "does not say where its lines stand"),
        ("read --learn wrong.parts -o a.style", 1, "`cartella check` lists them"),
        ("read --learn far.parts -o a.style", 1, "there is no line to learn from"),
        ("read --learn white.png -o a.style", 1, "there is no line to learn from"),
        ("read --learn gone.parts -o a.style", 2, "gone.parts: its head names gone.png, which"),
        ("read --print-style no.style white.png -o a.parts", 2, "is no style of a print"),
        ("read --print-style plain.parts white.png -o a.parts", 2, "is no style of a print"),
    ] {
        let (found, out, err) = run(folder.path(), command);
        assert_eq!((found, out.as_str()), (status, ""), "{command}: {err}");
        assert!(err.contains(said), "{command}: {err}");
    }
    assert!(!folder.path().join("a.style").exists());
}
