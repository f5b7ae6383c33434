//! What a study draws, made from its plain types: annotations in the keyboard score, the plan, reduction
//! and cards, the page. The analysis is written by hand here, for the four voices of two duos.
//!
//! With `CARTELLA_PICTURES=FOLDER` the tests write their pictures there, to be looked at.

use std::path::Path;
use std::process::Command;

use engrave::{Ground, Look, Picture, Role, audit, engrave, png};
use rudiments::Time;
use score::{BarLength, Excerpt, Mark, Options, Run, Score, Shade, Staves, arrange};
use suite::{aligned, fixtures, musicxml, schema_validator};

fn minims(count: i64) -> Time {
    Time::minims(count)
}

fn two_duos() -> Score {
    let (_, text) = fixtures().into_iter().find(|(name, _)| name == "two-duos").unwrap();
    aligned(&text, BarLength::Breve).0
}

/// The notes of a voice that begin from one moment on, so many.
fn run(score: &Score, voice: usize, from: i64, count: usize) -> Run {
    let events = &score.voices[voice].events;
    let first = events.partition_point(|event| event.onset < minims(from));
    assert_eq!(events[first].onset, minims(from), "voice {voice}");
    Run { voice, first, last: first + count - 1 }
}

const CANTUS: usize = 0;
const ALTUS: usize = 1;
const TENOR: usize = 2;
const BASSUS: usize = 3;

/// The entries of the subject: voice, onset, notes, what is said.
const ENTRIES: [(usize, i64, usize, &str); 8] = [
    (ALTUS, 0, 6, ""),
    (CANTUS, 8, 6, "5th above, after 8"),
    (BASSUS, 24, 6, "8ve below 1"),
    (TENOR, 32, 6, "5th above, after 8"),
    (CANTUS, 48, 6, "8ve above the Tenor"),
    (ALTUS, 54, 6, "5th below, after 6"),
    (TENOR, 60, 4, "4th below, after 6"),
    (BASSUS, 66, 6, "5th below, after 6"),
];

/// The cadential semibreves.
const CADENCES: [(i64, i64); 3] = [(22, 24), (46, 48), (74, 76)];

fn annotated() -> Score {
    let mut score = two_duos();
    for (voice, from, count, said) in ENTRIES {
        let run = run(&score, voice, from, count);
        let words = if said.is_empty() { "S1".to_owned() } else { format!("S1 {said}") };
        score.marks.push(Mark::bracket(run, words));
    }
    for (from, to) in CADENCES {
        score.annotations.shades.push(Shade { from: minims(from), to: minims(to) });
    }
    for (voice, at, letter) in [
        (CANTUS, 23, "c"),
        (ALTUS, 22, "t"),
        (TENOR, 47, "c"),
        (BASSUS, 46, "t"),
        (CANTUS, 75, "c"),
        (BASSUS, 74, "b"),
        (TENOR, 74, "a"),
    ] {
        let events = &score.voices[voice].events;
        let event = events.partition_point(|event| event.end() <= minims(at));
        score.marks.push(Mark::letter(Run::one(voice, event), letter));
    }
    let clash = [run(&score, ALTUS, 61, 1), run(&score, TENOR, 60, 1)];
    let clash = Mark::clash(clash[0], clash[1], "9th, untreated");
    score.marks.extend(clash);
    score
}

/// Writes a picture to be looked at.
fn show(name: &str, picture: &Picture) {
    if let Some(folder) = std::env::var_os("CARTELLA_PICTURES") {
        let bytes = png(picture, 150.0, Ground::White, None).unwrap();
        std::fs::write(Path::new(&folder).join(format!("{name}.png")), bytes).unwrap();
    }
}

fn count(picture: &Picture, role: Role) -> usize {
    let items = picture.blocks.iter().flat_map(|block| &block.frame.items);
    items.filter(|item| item.role == role).count()
}

#[test]
fn annotations_in_the_score() {
    let score = annotated();
    for staves in [Staves::Keyboard, Staves::Open] {
        let options = Options { staves, ..Options::default() };
        let picture = engrave(&arrange(&score, options), &Look::default());
        show(if staves == Staves::Open { "annotated-open" } else { "annotated" }, &picture);
        assert_eq!(audit(&picture), []);
        assert!(count(&picture, Role::Shade) >= 3);
    }
}

#[test]
fn a_reduction_of_a_duo() {
    let score = two_duos();
    let mut duo = Excerpt::bars(1..=6).voices([CANTUS, ALTUS]).of(&score).unwrap();
    duo.annotations.figures = duo.interval_figures(0, 1);
    let options = Options { staves: Staves::Open, ..Options::default() };
    let picture = engrave(&arrange(&duo, options), &Look::default());
    show("reduction", &picture);
    assert_eq!(audit(&picture), []);
    assert!(count(&picture, Role::Figure) > 10);
}

#[test]
fn annotations_and_excerpts_as_musicxml() {
    let Some(validator) = schema_validator() else { return };
    let score = annotated();
    let mut duo = Excerpt::bars(2..=6).voices([CANTUS, ALTUS]).of(&score).unwrap();
    duo.annotations.figures = duo.interval_figures(0, 1);
    let folder = tempfile::tempdir().unwrap();
    for (name, score) in [("score", &score), ("duo", &duo)] {
        for staves in [Staves::Keyboard, Staves::Open] {
            let xml = musicxml(score, Options { staves, ..Options::default() });
            assert!(xml.contains("<dashes type=\"start\"") && xml.contains(">S1"));
            let file = folder.path().join(format!("{name}.musicxml"));
            std::fs::write(&file, xml).unwrap();
            let output = Command::new(&validator).arg(&file).output().unwrap();
            assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        }
    }
}
