//! Whatever is typed, every file that is written is well-formed.

use std::process::Command;

use engrave::{Look, Paper, engrave, engrave_on, pages, pdf, svg};
use exchange::{write_midi, write_musicxml};
use proptest::prelude::*;
use roxmltree::Document;
use score::{BarLength, Change, Options, Score, Staves, arrange};
use sound::{Playing, perform};
use suite::{aligned, is_installed, midi_tracks, musicxml, of_poppler, schema_validator};

const PIECE: &str = "title t\nsource s\neditor e\nnote n\nvoice A clef C1\n \"words\" sb G4 A ( br G A ) lg G\n\
                     voice B clef C4\n sb D3 { mn E F } \"words\" br D D lg D\n";

/// Characters of every kind, those that XML and terminals cannot bear among them.
fn text() -> impl Strategy<Value = String> {
    let one = prop_oneof![
        4 => any::<char>(),
        4 => "[ -~]".prop_map(|text| text.chars().next().unwrap_or(' ')),
        2 => (0..0xa0_u32).prop_map(|code| char::from_u32(code).unwrap_or(' ')),
        1 => prop::sample::select(vec![
            '&', '<', '>', '"', '\'', ']', '\0', '\u{1b}', '\u{7f}', '\u{85}', '\u{9b}', '\u{ad}',
            '\u{202e}', '\u{2028}', '\u{2066}', '\u{fdd0}', '\u{feff}', '\u{fffe}', '\u{ffff}',
            '\u{10ffff}', '\u{301}', 'א', '𝄞',
        ]),
    ];
    prop_oneof![
        8 => prop::collection::vec(one, 0..12).prop_map(|text| text.into_iter().collect()),
        1 => Just("]]>".to_owned()),
        1 => Just("<!-- --><?x?>&#0;".to_owned()),
    ]
}

/// A little piece of whose texts each is one of those that are given.
fn piece(texts: &[String; 7]) -> Score {
    let (mut score, _) = aligned(PIECE, BarLength::Breve);
    let [title, composer, source, editor, note, name, words] = texts.clone();
    score.heading.title = Some(title);
    score.heading.composer = Some(composer);
    score.heading.source = Some(source);
    score.heading.editor = Some(editor);
    score.heading.notes = vec![note];
    for voice in &mut score.voices {
        voice.name.clone_from(&name);
        for (_, change) in &mut voice.changes {
            if let Change::Words(said) = change {
                said.clone_from(&words);
            }
        }
    }
    score
}

/// XML 1.0, fifth edition, production 2.
fn is_char(c: char) -> bool {
    matches!(c, '\t' | '\n' | '\r' | ' '..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'..)
}

fn is_well_formed(xml: &str) {
    assert!(xml.chars().all(is_char), "{xml:?}");
    Document::parse(xml).unwrap_or_else(|error| panic!("{error}\n{xml:?}"));
}

/// What XMP metadata say, as they stand in a PDF file.
fn metadata(pdf: &[u8]) -> String {
    let text = String::from_utf8_lossy(pdf).into_owned();
    let begin = text.find("<x:xmpmeta").expect("metadata begin");
    let end = text.find("</x:xmpmeta>").expect("metadata end") + "</x:xmpmeta>".len();
    text[begin..end].to_owned()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn every_file(texts in prop::array::uniform7(text())) {
        let score = piece(&texts);
        for staves in [Staves::Keyboard, Staves::Open] {
            let arrangement = arrange(&score, Options { staves, ..Options::default() });
            is_well_formed(&write_musicxml(&arrangement).unwrap());
            is_well_formed(&svg(&engrave(&arrangement, &Look::default()), &|_| 1));
        }
        let arrangement = arrange(&score, Options::default());
        let book = pages(vec![engrave_on(&arrangement, &Look::default(), &Paper::A4)], &Paper::A4);
        is_well_formed(&metadata(&pdf(&book, None).unwrap()));
        for track in midi_tracks(&write_midi(&score, &perform(&score, &Playing::default(), None)).unwrap()) {
            prop_assert!(!track.name.contains(char::is_control), "{:?}", track.name);
        }
    }
}

/// As xmllint, the schema of MusicXML and poppler see it.
#[test]
fn as_others_read_it() {
    let illegible = "a\u{1b}[31m\u{0}\u{fffe}\u{ffff}\u{9b}\u{85}\tb";
    let markup = "]]> & <b> \"c\" 'd' <!-- &#0; -->";
    let folder = tempfile::tempdir().unwrap();
    for text in [illegible, markup] {
        let score = piece(&std::array::from_fn(|_| text.to_owned()));
        let arrangement = arrange(&score, Options::default());
        let picture = engrave(&arrangement, &Look::default());
        let drawn = folder.path().join("score.svg");
        std::fs::write(&drawn, svg(&picture, &|_| 1)).unwrap();
        let written = folder.path().join("score.musicxml");
        std::fs::write(&written, musicxml(&score, Options::default())).unwrap();
        if let Some(validator) = schema_validator() {
            assert!(Command::new(validator).arg(&written).output().unwrap().status.success());
            assert!(Command::new("xmllint").arg("--noout").arg(&drawn).status().unwrap().success());
        }
        if is_installed("pdfinfo", "poppler-utils") {
            let picture = engrave_on(&arrangement, &Look::default(), &Paper::A4);
            let path = folder.path().join("score.pdf");
            std::fs::write(&path, pdf(&pages(vec![picture], &Paper::A4), None).unwrap()).unwrap();
            let information = of_poppler("pdfinfo FILE", &path);
            let title = information.lines().find_map(|line| line.strip_prefix("Title:"));
            let legible = score::legible(text);
            assert_eq!(title.map(str::trim), Some(legible.as_ref()), "{information}");
            of_poppler("pdftotext FILE -", &path);
        }
    }
}
