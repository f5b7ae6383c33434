//! Cadences: a list of short ones of all kinds, and the open data.

use counterpoint::study::cadences::{self, CadenceKind};
use counterpoint::study::mode;
use notation::Piece;
use rudiments::Time;
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
    println!("{table}");
    assert!(ending * 100 >= pieces.len() * 95, "{ending} of {}", pieces.len());
}
