//! What formats cannot hold: said, or shown, and never written otherwise than it is.

mod support;

use std::fs;

use support::run;

/// A pitch that leaves the octaves of MusicXML, or the keys of MIDI, by transposition.
#[test]
fn a_pitch_that_a_format_has_not() {
    let text = "voice Cantus clef C1\n  br G4 A4 lg G9\n";
    let folder = support::folder(&[("a.parts", text)]);
    assert_eq!(run(folder.path(), "score a.parts -o a.musicxml -o a.mxl -o a.mid").0, 0);
    for (out, beyond) in [
        ("b.musicxml", "C10 in Cantus, bar 3, is beyond the octaves 0 to 9 of MusicXML"),
        ("b.mxl", "C10 in Cantus, bar 3, is beyond the octaves 0 to 9 of MusicXML"),
        ("b.mid", "C10 in Cantus, bar 3, is beyond the 128 keys of MIDI"),
    ] {
        let (status, said, err) =
            run(folder.path(), &format!("score a.parts --transpose 4 up -o {out}"));
        assert_eq!((status, said.as_str()), (2, ""));
        assert!(err.contains(&format!("a.parts: {beyond}")), "{err}");
        assert!(!folder.path().join(out).exists());
    }
}

/// XML 1.0, fifth edition, production 2, and what a terminal would obey.
#[test]
fn control_characters_are_in_no_file() {
    let bad = "a\u{1b}[31m\u{1}\u{fffe}\u{9b}b";
    let text = format!(
        "title {bad}\nsource {bad}\neditor {bad}\nnote {bad}\nvoice A\u{1b}\u{fffe} clef C1\n  \
         \"{bad}\" br G4 A4 lg G\n"
    );
    let folder = support::folder(&[("a.parts", &text)]);
    assert_eq!(run(folder.path(), "score a.parts -o a.musicxml -o a.svg -o a.pdf -o a.mid").0, 0);
    for out in ["a.musicxml", "a.svg"] {
        let xml = fs::read_to_string(folder.path().join(out)).unwrap();
        assert!(xml.contains("a\u{fffd}[31m\u{fffd}\u{fffd}\u{fffd}b"), "{xml}");
        assert!(!xml.contains(|c: char| (c.is_control() && c != '\n') || c == '\u{fffe}'), "{xml}");
    }
    let midi = fs::read(folder.path().join("a.mid")).unwrap();
    assert!(!midi.windows(2).any(|bytes| bytes == b"\x1b["));
}
