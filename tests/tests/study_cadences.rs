//! Cadences: a list of short ones of all kinds, and the open data.

use counterpoint::study::cadences::{self, Cadence, CadenceKind};
use counterpoint::study::mode::{self, Proposed, TooShort};
use counterpoint::study::{RuleSet, accidentals, judge};
use notation::Piece;
use rudiments::{Time, Tone};
use score::{BarLength, Score, TimedVoice, align, reckon};
use suite::cadences::{CadenceCase, cadence_cases, read_cadences, told};
use suite::slips::scored;
use suite::{MADRIGALS, SIGNED, duos, madrigal_parts, opendata, read_score, with_signs};

fn score(case: &CadenceCase) -> Score {
    align(&case.piece, reckon(&case.piece), BarLength::Breve).score
}

/// All fields of all cases are as they should be.
#[test]
fn every_cadence_of_the_list() {
    let mut wrong = String::new();
    let cases = cadence_cases();
    for case in &cases {
        let score = score(case);
        let found = cadences::of(&case.piece, &score);
        let found: Vec<String> =
            found.iter().map(|cadence| told(cadence, &score).to_string()).collect();
        if found != case.expected {
            wrong +=
                &format!("{}\n  expected {:#?}\n  found {found:#?}\n", case.name, case.expected);
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
    assert!(cases.len() >= 40);
}

/// What the list expects is what a reader finds that knows pitches and times alone.
#[test]
fn the_list_is_true() {
    let mut wrong = String::new();
    for case in cadence_cases() {
        let found = read_cadences(&score(&case));
        if found != case.expected {
            wrong +=
                &format!("{}\n  expected {:#?}\n  read {found:#?}\n", case.name, case.expected);
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// Two voices that go down by step, one of them suspended by each note of the other; the suspended one
/// begins so many steps above or below it.
fn chain(from: i32, apart: i32, links: i32, signature: &str) -> String {
    let tone = |rung: i32| Tone::on_rung(rung).to_string();
    let down = |from: i32, steps: std::ops::RangeInclusive<i32>| {
        steps.map(|step| tone(from - step)).collect::<Vec<_>>().join(" ")
    };
    let (first, held) = (tone(from), from + apart);
    let beaten =
        format!("mn {first} {first} sb {} lg {}", down(from, 1..=links), tone(from - links - 2));
    let suspended = format!(
        "mn {} sb {} mn {} lg {}",
        tone(held),
        down(held, 0..=links - 1),
        tone(held - links),
        tone(held - links - 1)
    );
    let (upper, lower) = if apart > 0 { (suspended, beaten) } else { (beaten, suspended) };
    format!("signature {signature}\nvoice A clef C1\n {upper}\nvoice B clef C4\n {lower}\n")
}

/// No chain of suspensions is a row of evaded cadences: whatever its numbers, length and place.
#[test]
fn chains_are_no_rows_of_evaded_cadences() {
    let mut suspended = 0;
    for signature in ["none", "Bb", "F#"] {
        for from in 28..35 {
            for apart in [5, 12, 2, 9, -2, -9] {
                for links in 2..7 {
                    let text = chain(from, apart, links, signature);
                    let (piece, score) = scored(&text);
                    let found = cadences::of(&piece, &score);
                    let evaded = found.iter().filter(|cadence| cadence.is_evaded()).count();
                    assert!(evaded <= 1, "{text}{found:#?}");
                    let all = judge(&piece, &score, RuleSet::About1560);
                    suspended += all.dissonances.suspensions.len();
                }
            }
        }
    }
    assert!(suspended > 1000, "{suspended}");
}

/// In the open data no leading note of an evaded cadence is suspended into the next.
#[test]
fn evaded_cadences_of_the_open_data_are_no_chains() {
    for (name, piece, score) in pieces() {
        let found = cadences::of(&piece, &score);
        let evaded: Vec<_> = found.iter().filter(|cadence| cadence.is_evaded()).collect();
        for two in evaded.windows(2) {
            let voice = |cadence: &Cadence| cadence.roles.cantizans.map(|event| event.voice);
            let in_row = voice(two[0]) == voice(two[1])
                && two[1].preparation.is_some_and(|begins| begins == two[0].resolution);
            assert!(!in_row, "{name}: {two:#?}");
        }
    }
}

/// What is no music, or hardly any, has no cadences, and breaks nothing.
#[test]
fn bad_input() {
    let texts = [
        String::new(),
        "voice A clef C1\n".to_owned(),
        "voice A clef C1\n lg D4\n".to_owned(),
        "voice A clef C1\n br _*9\nvoice B clef C4\n br _ _\n".to_owned(),
        "voice A clef C1\n mn A4 sb D5 mn C5\nvoice B clef C4\n mn F4\n".to_owned(),
        "voice A clef C1\n || || mn A4 || ^ B\nvoice B clef C4\n :: mn F4=1/7 || sb. _\n"
            .to_owned(),
        (0..64)
            .map(|n| format!("voice V{n} clef C1\n sb A4 B4 mn D5 sb C5 B4 mn A4 lg D5\n"))
            .collect(),
    ];
    for text in texts {
        let (piece, score) = scored(&text);
        let found = cadences::of(&piece, &score);
        let signs = accidentals::of(&piece, &score, &found);
        let proposal = mode::of(&piece, &score, &found);
        assert!(found.iter().all(|cadence| cadence.at <= score.length), "{text}");
        assert!(signs.iter().all(|sign| sign.at < score.length), "{text}");
        assert_eq!(proposal.proposed, Proposed::TooShort(TooShort::Breves), "{text}");
    }
}

/// All pieces of the open data.
fn pieces() -> Vec<(String, Piece, Score)> {
    let Some(opendata) = opendata() else { return Vec::new() };
    let duos = duos(&opendata).into_iter().map(|(name, xml)| {
        let text = read_score(&name, xml.as_bytes(), None);
        (name, text)
    });
    let madrigals = MADRIGALS.iter().map(|name| {
        let signs = SIGNED.iter().find(|(signed, _)| signed == name).map_or(&[][..], |(_, s)| *s);
        ((*name).to_owned(), with_signs(&madrigal_parts(&opendata, name), signs))
    });
    let all = madrigals.chain(duos).map(|(name, text)| {
        let (piece, score) = scored(&text);
        (name, piece, score)
    });
    all.collect()
}

/// When the last sonority begins.
fn last_sonority(score: &Score) -> Time {
    let last =
        |voice: &TimedVoice| voice.events.iter().rfind(|event| !event.is_rest()).map(|e| e.onset);
    score.voices.iter().filter_map(last).max().unwrap_or_default()
}

/// Every piece ends with a cadence, or within two breves after one: at least 95 in 100.
#[test]
fn pieces_end_with_cadences() {
    let pieces = pieces();
    let mut table = String::new();
    let mut ending = 0;
    for (name, piece, score) in &pieces {
        let found = cadences::of(piece, score);
        let last = last_sonority(score);
        let closes = found.iter().rfind(|cadence| cadence.at <= last);
        let ends = closes.is_some_and(|cadence| last <= cadence.at + Time::minims(8));
        ending += usize::from(ends);
        let with = |kind: CadenceKind| found.iter().filter(|one| one.kind == kind).count();
        let kinds = [
            CadenceKind::Second,
            CadenceKind::Seventh,
            CadenceKind::Fourth,
            CadenceKind::Fifth,
            CadenceKind::Other,
            CadenceKind::None,
        ];
        let kinds = kinds.map(|kind| format!("{} {}", with(kind), kind.name())).join(", ");
        let evaded = found.iter().filter(|cadence| cadence.is_evaded()).count();
        let phrygian = found.iter().filter(|cadence| cadence.phrygian).count();
        let proposal = mode::of(piece, score, &found);
        let end = if ends { "" } else { "; NO CADENCE AT THE END" };
        table += &format!(
            "{name}: {kinds}; {evaded} evaded, {phrygian} Phrygian; {}{end}\n",
            proposal.sentence()
        );
    }
    if pieces.is_empty() {
        return;
    }
    insta::assert_snapshot!(table);
    assert!(ending * 100 >= pieces.len() * 95, "{ending} of {}", pieces.len());
}
