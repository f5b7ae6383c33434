//! What a study draws, made from its plain types: annotations in the keyboard score, the plan, reduction
//! and cards, the page. The analysis is written by hand here, for the four voices of two duos.
//!
//! With `CARTELLA_PICTURES=FOLDER` the tests write their pictures there, to be looked at.

use std::ops::RangeInclusive;
use std::path::Path;
use std::process::Command;

use engrave::{Ground, Look, Mm, Paper, Picture, Role, audit, engrave, pdf, png, sheet, svg};
use rudiments::Time;
use score::{
    BarLength, Card, Excerpt, Mark, Options, Plan, PlannedCadence, PlannedEntry, PlannedSection,
    PlannedSubject, Run, Score, Shade, Sheet, SheetBody, SheetPart, Staves, Table, arrange,
};
use suite::{
    CLEAN_MADRIGALS, aligned, fixtures, madrigal_parts, musicxml, opendata, schema_validator,
};

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

/// The plan of the two duos; a second subject and an inverted entry are invented, so that all patterns are
/// seen.
fn planned() -> Plan {
    let score = two_duos();
    let mut plan = Plan::of(&score);
    plan.subjects = vec![PlannedSubject { name: "S1".into(), notes: "D A G F E D".into() }];
    plan.entries = ENTRIES
        .iter()
        .map(|(voice, from, count, said)| {
            let (from, to) = run(&score, *voice, *from, *count).time(&score).unwrap();
            let label = (*said).to_owned();
            PlannedEntry { voice: *voice, from, to, subject: 0, inverted: false, label }
        })
        .collect();
    let cadence = |(at, kind): (i64, &str)| PlannedCadence {
        at: minims(at),
        letter: "D".to_owned(),
        kind: kind.to_owned(),
        evaded: false,
        phrygian: false,
    };
    plan.cadences = [(24, "seventh"), (48, "seventh"), (76, "fifth")].map(cadence).to_vec();
    let section =
        |(from, name): (i64, &str)| PlannedSection { from: minims(from), name: name.into() };
    plan.sections = [(0, "duo 1"), (24, "duo 2"), (48, "all four")].map(section).to_vec();
    plan
}

#[test]
fn the_plan() {
    let picture = engrave::plan(&planned(), &Look::default());
    show("plan", &picture);
    assert_eq!(audit(&picture), []);
    // Four sounding voices have twelve parts outside their entries, and the texture three.
    assert!(count(&picture, Role::PlanBand) >= 12);
    let mut busy = planned();
    busy.subjects.push(PlannedSubject { name: "S2".into(), notes: "A B C".into() });
    busy.subjects.push(PlannedSubject { name: "S3".into(), notes: "G G A".into() });
    for (place, entry) in busy.entries.iter_mut().enumerate() {
        entry.subject = place % 3;
        entry.inverted = place > 4;
    }
    busy.cadences[1].evaded = true;
    busy.cadences[1].phrygian = true;
    let narrow = Look { width: Mm(105.0), ..Look::default() };
    let picture = engrave::plan(&busy, &narrow);
    show("plan-busy", &picture);
    assert_eq!(audit(&picture), []);
}

/// Two voices in some bars, with the figures of their intervals.
fn duo(score: &Score, bars: RangeInclusive<u32>, upper: usize, lower: usize) -> Score {
    let mut duo = Excerpt::bars(bars).voices([upper, lower]).of(score).unwrap();
    duo.annotations.figures = duo.interval_figures(0, 1);
    duo
}

fn rows(rows: &[&[&str]]) -> Vec<Vec<String>> {
    rows.iter().map(|row| row.iter().map(|cell| (*cell).to_owned()).collect()).collect()
}

/// The page that a teacher would write about the two duos.
fn page() -> Sheet {
    let score = two_duos();
    let text = |all: &[&str]| SheetBody::Text(all.iter().map(|one| (*one).to_owned()).collect());
    let part = |heading: &str, body| SheetPart { heading: heading.to_owned(), body };
    let card = |title: &str, bars, upper, lower| Card {
        title: title.to_owned(),
        music: duo(&score, bars, upper, lower),
    };
    let entries = Table {
        columns: rows(&[&["", "bar", "voice", "from", "interval", "after", "meets", "quality"]])
            .remove(0),
        rows: rows(&[
            &["1", "1", "Altus", "\u{2013}", "\u{2013}", "\u{2013}", "\u{2013}", "model"],
            &["2", "3", "Cantus", "Altus", "5th above", "8", "after", "exact"],
            &[
                "3",
                "7",
                "Bassus",
                "duo 1",
                "8ve below",
                "24",
                "after",
                "exact; duo 2 is duo 1, an octave lower, in the same order",
            ],
            &["4", "9", "Tenor", "Bassus", "5th above", "8", "after", "exact"],
            &["5", "13", "Cantus", "Tenor", "8ve above", "16", "after", "exact"],
            &["6", "14.3", "Altus", "Cantus", "5th below", "6", "close, overlap 2", "exact"],
            &["7", "16", "Tenor", "Altus", "4th below", "6", "close, overlap 2", "exact"],
            &["8", "17.3", "Bassus", "Tenor", "5th below", "6", "close, overlap 2", "exact"],
        ]),
    };
    let cadences = Table {
        columns: Vec::new(),
        rows: rows(&[
            &[
                "bar 6\u{2013}7",
                "D",
                "seventh",
                "Cantus, Altus",
                "7-6",
                "Bassus enters upon the goal",
            ],
            &[
                "bar 12\u{2013}13",
                "D",
                "seventh",
                "Tenor, Bassus",
                "7-6",
                "Cantus enters upon the goal",
            ],
            &["bar 19\u{2013}20", "D", "fifth", "Cantus, Bassus", "4-3", "end; the Tenor stays"],
        ]),
    };
    let facts =
        ["20 breves", "C|", "low clefs", "final D", "mode 1 or 2 proposed (Tenor E\u{2013}E)"];
    Sheet {
        title: "Four voices made of two duos".to_owned(),
        facts: facts.map(str::to_owned).to_vec(),
        parts: vec![
            part(
                "Subject",
                text(&[
                    "Altus 1\u{2013}6: D A G. F E D. A fifth up, then down by step; 8 minims; re la sol fa mi re.",
                ]),
            ),
            part("Entries", SheetBody::Table(entries)),
            part("Cadences", SheetBody::Table(cadences)),
            part("Texture", text(&["Two voices in bars 1\u{2013}12, three and four from bar 13."])),
            part("", SheetBody::Plan(planned())),
            part("Duo 1 alone", SheetBody::Reduction(Box::new(duo(&score, 1..=7, CANTUS, ALTUS)))),
            part(
                "Cadences",
                SheetBody::Cards(vec![
                    card("bar 6\u{2013}7 D seventh", 6..=7, CANTUS, ALTUS),
                    card("bar 12\u{2013}13 D seventh", 12..=13, TENOR, BASSUS),
                    card("bar 19\u{2013}20 D fifth", 19..=20, TENOR, BASSUS),
                ]),
            ),
            part(
                "Dissonance",
                text(&["Suspensions 3, passing notes at 6 moments; untreated none. Faults none."]),
            ),
            part(
                "Practise",
                text(&[
                    "1. Hide the Cantus in bars 3\u{2013}6.",
                    "2. Enter with duo 2 on the cadential semibreve (bar 6.3).",
                    "3. Does the subject answer itself at the fourth above after 4?",
                ]),
            ),
            part("Uncertain", text(&["The mode: the Tenor has E to E, a step beyond both."])),
        ],
    }
}

#[test]
fn the_page_of_a_teacher() {
    let book = sheet(&page(), Options::default(), &Paper::A4);
    for (number, page) in book.pages.iter().enumerate() {
        show(&format!("page-{}", number + 1), page);
        assert_eq!(audit(page), []);
        let svg = svg(page, &|span| span.start);
        assert!(svg.contains("fill=\"#dedede\"") && svg.contains("data-voice=\"Bassus\""));
    }
    assert_eq!(book.pages.len(), 1);
    let file = pdf(&book, None).unwrap();
    if let Some(folder) = std::env::var_os("CARTELLA_PICTURES") {
        std::fs::write(Path::new(&folder).join("page.pdf"), &file).unwrap();
    }
    assert!(String::from_utf8_lossy(&file).contains("pdfuaid"), "it says that it is accessible");
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

/// Marks of all kinds all over a piece of five voices: brackets with names at the notes after rests,
/// letters, pairs of circles, shades.
fn covered(text: &str) -> Score {
    let mut score = aligned(text, BarLength::Breve).0;
    let mut marks = Vec::new();
    for (voice, timed) in score.voices.iter().enumerate() {
        let events = &timed.events;
        for event in 0..events.len() {
            let begins = !events[event].is_rest() && (event == 0 || events[event - 1].is_rest());
            if begins && event + 5 < events.len() {
                let run = Run { voice, first: event, last: event + 5 };
                marks.push(Mark::bracket(run, "S1 5th above, after 8 minims"));
            }
            if event % 11 == voice && !events[event].is_rest() {
                marks.push(Mark::letter(Run::one(voice, event), ["c", "t", "b", "a", "c"][voice]));
            }
        }
    }
    for pair in 1..8 {
        let [one, other] = [0, 2].map(|voice| {
            let events = &score.voices[voice].events;
            (pair * 17..events.len())
                .find(|event| !events[*event].is_rest())
                .map(|event| Run::one(voice, event))
        });
        if let Some((one, other)) = one.zip(other) {
            marks.extend(Mark::clash(one, other, "7th, untreated"));
        }
    }
    score.marks = marks;
    let bars = score.bars.iter().step_by(4);
    score.annotations.shades =
        bars.map(|bar| Shade { from: bar.start + minims(2), to: bar.end }).collect();
    score
}

/// Notes are tied to the outside on both sides, and the first bar has its number.
#[test]
fn an_excerpt_over_ties() {
    let score = Excerpt::bars(18..=18).of(&annotated()).unwrap();
    let picture = engrave(&arrange(&score, Options::default()), &Look::default());
    show("excerpt", &picture);
    assert_eq!(audit(&picture), []);
    assert_eq!((count(&picture, Role::Tie), count(&picture, Role::BarNumber)), (2, 1));
}

#[test]
fn nothing_collides_in_five_voices() {
    let Some(opendata) = opendata() else { return };
    for piece in CLEAN_MADRIGALS {
        let score = covered(&madrigal_parts(&opendata, piece));
        for staves in [Staves::Keyboard, Staves::Open] {
            let options = Options { staves, ..Options::default() };
            let picture = engrave(&arrange(&score, options), &Look::default());
            if piece == CLEAN_MADRIGALS[0] {
                show(if staves == Staves::Open { "covered-open" } else { "covered" }, &picture);
            }
            assert_eq!(audit(&picture), [], "{piece}");
            assert!(count(&picture, Role::MarkWords) > 40 && count(&picture, Role::Shade) > 5);
        }
    }
}

#[test]
fn a_reduction_of_a_duo() {
    let score = two_duos();
    let duo = duo(&score, 1..=6, CANTUS, ALTUS);
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
    let duo = duo(&score, 2..=6, CANTUS, ALTUS);
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
