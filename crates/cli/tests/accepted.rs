//! What people type first, though it is written otherwise: accepted, and mended by `check --fix`.

mod support;

use std::fs;

use support::{folder, run};

/// The first voice of each file is typed with the music; what `check --fix` makes of it.
#[test]
fn a_dot_after_a_value_goes_to_its_note() {
    for (typed, mended) in [
        ("mn. G4 sm A", "mn G4. sm A"),
        ("mn. G4 .A B", "mn G4. .A B"),
        ("mn. _ sm A4", "mn _. sm A4"),
        ("br. ( G4 lg A )", "br ( G4. lg A )"),
        ("Minim. G#4^ sm A", "mn G#4.^ sm A"),
        ("mn. ; dotted\n  G4=3 sm A", "mn ; dotted\n  G4.=3 sm A"),
        // It has its dot already.
        ("mn. G4. sm A", "mn G4. sm A"),
    ] {
        let file = |music: &str| format!("voice Cantus clef C1\n  {music}\n");
        let folder = folder(&[("a.parts", &file(typed))]);
        let (_, out, err) = run(folder.path(), "check a.parts --fix");
        assert!(err.contains("1 place mended"), "{typed}: {err}");
        assert!(!out.contains("error"), "{typed}: {out}");
        assert_eq!(fs::read_to_string(folder.path().join("a.parts")).unwrap(), file(mended));
    }
}

/// With a second note of that value, the dot may be that of one or of both.
#[test]
fn a_dot_that_may_belong_to_two_notes_is_asked_for() {
    let typed = "voice Cantus clef C1\n  sb. G4 A mn B\n";
    let folder = folder(&[("a.parts", typed)]);
    let (status, out, _) = run(folder.path(), "check a.parts --fix");
    assert_eq!(status, 1);
    assert!(out.contains("sb G4. A, or sb G4. A. if that has one too"), "{out}");
    assert_eq!(fs::read_to_string(folder.path().join("a.parts")).unwrap(), typed);
}

#[test]
fn signs_that_look_like_the_printed_ones() {
    for (typed, mended) in [
        ("sign ¢\nvoice A clef C1\n sb G4\n", "sign C|\nvoice A clef C1\n sb G4\n"),
        ("voice A clef C1 sign Ø\n sb G4\n", "voice A clef C1 sign O|\n sb G4\n"),
        ("voice A clef C1 ¢\n sb G4\n", "voice A clef C1 sign C|\n sb G4\n"),
        ("voice A clef C1\n sb G4 sign 𝄴 G\n", "voice A clef C1\n sb G4 sign C G\n"),
    ] {
        let folder = folder(&[("a.parts", typed)]);
        let (status, _, err) = run(folder.path(), "check a.parts --fix");
        assert_eq!((status, err.contains("1 place mended")), (0, true), "{typed}: {err}");
        assert_eq!(fs::read_to_string(folder.path().join("a.parts")).unwrap(), mended);
    }
}

#[test]
fn endings_and_the_words_of_options_in_any_letters() {
    let folder = folder(&[("a.parts", "voice A clef C1\n lg G4\n")]);
    let arguments = "score a.parts -o a.midi -o a.xml -o a.SVG -o a.Pdf --page A4 --staves Open \
                     --bar Semibreve --barlines NONE --transpose 4 Down";
    assert_eq!(run(folder.path(), arguments), (0, String::new(), String::new()));
    let begins = |name: &str| fs::read(folder.path().join(name)).unwrap()[..4].to_vec();
    assert_eq!(begins("a.midi"), b"MThd");
    assert_eq!(begins("a.xml"), b"<?xm");
    assert_eq!(begins("a-1.SVG"), b"<svg");
    assert_eq!(begins("a.Pdf"), b"%PDF");
    let (status, out, _) = run(folder.path(), "check a.parts --format JSON --color NEVER");
    assert_eq!((status, &out[..12]), (0, "{\"version\":1"));
    assert_eq!(run(folder.path(), "score a.parts --into all --as MIDI --as xml").0, 0);
    for name in ["all/a.mid", "all/a.musicxml"] {
        assert!(folder.path().join(name).exists(), "{name}");
    }
}
