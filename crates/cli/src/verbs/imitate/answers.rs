//! The answers of `imitate` as JSON.

use cartella::invention::{
    Ensemble, Entry, Move, Pattern, Remark, Row, Signed, Subject, Treatment,
};
use serde::Serialize;

#[derive(Serialize)]
pub(crate) struct OfTwo {
    version: u32,
    subject: Shown,
    table: Vec<Listed>,
}

#[derive(Serialize)]
struct Shown {
    length: String,
    signature: String,
    notes: Vec<Note>,
}

#[derive(Serialize)]
struct Note {
    index: u32,
    pitch: String,
    at: String,
    #[serde(rename = "for")]
    length: String,
}

fn shown(subject: &Subject) -> Shown {
    let notes = subject.notes().iter().map(|note| Note {
        index: note.number,
        pitch: note.pitch.to_string(),
        at: note.at.to_string(),
        length: note.length.to_string(),
    });
    Shown {
        length: subject.length().to_string(),
        signature: subject.signature().to_string(),
        notes: notes.collect(),
    }
}

#[derive(Serialize)]
struct Listed {
    #[serde(skip_serializing_if = "Option::is_none")]
    rank: Option<usize>,
    #[serde(flatten)]
    entry: Entering,
    #[serde(flatten)]
    found: Found,
    #[serde(skip_serializing_if = "Option::is_none")]
    at: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    against: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    why: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    exact_with: Option<ExactWith>,
    #[serde(skip_serializing_if = "Option::is_none")]
    mirror: Option<Box<Listed>>,
}

/// How a follower enters.
#[derive(Serialize)]
struct Entering {
    steps: i32,
    delay: String,
}

fn entering(entry: &Entry) -> Entering {
    Entering { steps: entry.steps, delay: entry.delay.to_string() }
}

/// What an imitation comes to, in however many voices.
#[derive(Serialize)]
struct Found {
    verdict: &'static str,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    signs: Vec<Sign>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    figures: Vec<Treated>,
    meetings: usize,
    imperfect: usize,
    quality: &'static str,
    remarks: Vec<Remarked>,
    span: u32,
}

#[derive(Serialize)]
struct Sign {
    voice: u32,
    note: u32,
    pitch: String,
}

#[derive(Serialize)]
struct Treated {
    at: u32,
    figure: String,
}

#[derive(Serialize)]
struct Remarked {
    remark: &'static str,
    at: u32,
}

#[derive(Serialize)]
struct ExactWith {
    signs: Vec<Sign>,
    verdict: &'static str,
}

fn signs(signs: &[Signed]) -> Vec<Sign> {
    let signs = signs.iter();
    signs.map(|s| Sign { voice: s.voice, note: s.note, pitch: s.pitch.to_string() }).collect()
}

fn figures(treatments: &[Treatment]) -> Vec<Treated> {
    let treatments = treatments.iter();
    treatments.map(|one| Treated { at: one.at, figure: one.figure.to_string() }).collect()
}

fn remarks(remarks: &[Remark]) -> Vec<Remarked> {
    remarks.iter().map(|one| Remarked { remark: one.kind.name(), at: one.at }).collect()
}

fn listed(row: &Row, rank: Option<usize>) -> Listed {
    Listed {
        rank,
        entry: entering(&row.entry),
        found: Found {
            verdict: row.verdict.name(),
            signs: signs(&row.signs),
            figures: figures(&row.treatments),
            meetings: row.meetings,
            imperfect: row.imperfect,
            quality: row.quality.name(),
            remarks: remarks(&row.remarks),
            span: row.span,
        },
        at: row.fault.map(|fault| fault.at),
        against: row.fault.map(|fault| fault.against),
        why: row.fault.map(|fault| fault.to_string()),
        exact_with: row
            .exact
            .as_ref()
            .map(|exact| ExactWith { signs: signs(&exact.signs), verdict: exact.verdict.name() }),
        mirror: None,
    }
}

pub(crate) fn table(
    subject: &Subject,
    rows: &[Row],
    mirror: impl Fn(Entry) -> Option<Row>,
) -> OfTwo {
    let rows = (1..).zip(rows).map(|(rank, row)| Listed {
        mirror: mirror(row.entry).map(|row| Box::new(listed(&row, None))),
        ..listed(row, Some(rank))
    });
    OfTwo { version: 1, subject: shown(subject), table: rows.collect() }
}

#[derive(Serialize)]
pub(crate) struct OfSeveral {
    version: u32,
    subject: Shown,
    ensembles: Vec<Together>,
}

#[derive(Serialize)]
struct Together {
    rank: usize,
    entries: Vec<Entering>,
    #[serde(flatten)]
    found: Found,
}

pub(crate) fn ensembles(subject: &Subject, found: &[Ensemble]) -> OfSeveral {
    let ensembles = (1..).zip(found).map(|(rank, one)| Together {
        rank,
        entries: one.entries.iter().map(entering).collect(),
        found: Found {
            verdict: one.verdict.name(),
            signs: signs(&one.signs),
            figures: figures(&one.treatments),
            meetings: one.meetings,
            imperfect: one.imperfect,
            quality: one.quality.name(),
            remarks: remarks(&one.remarks),
            span: one.span,
        },
    });
    OfSeveral { version: 1, subject: shown(subject), ensembles: ensembles.collect() }
}

#[derive(Serialize)]
pub(crate) struct OfMoves {
    version: u32,
    steps: i32,
    delay: String,
    moves: Vec<Allowed>,
}

#[derive(Serialize)]
struct Allowed {
    steps: i32,
    makes: u32,
    may_repeat: bool,
}

pub(crate) fn moves(entry: Entry, found: &[Move]) -> OfMoves {
    let moves = found.iter().map(|one| Allowed {
        steps: one.steps,
        makes: one.makes,
        may_repeat: one.may_repeat,
    });
    OfMoves {
        version: 1,
        steps: entry.steps,
        delay: entry.delay.to_string(),
        moves: moves.collect(),
    }
}

#[derive(Serialize)]
pub(crate) struct OfPatterns {
    version: u32,
    patterns: Vec<Plain>,
}

#[derive(Serialize)]
struct Plain {
    direction: &'static str,
    notes: usize,
    table: Vec<Listed>,
}

pub(crate) fn patterns(found: &[Pattern]) -> OfPatterns {
    let patterns = found.iter().map(|pattern| Plain {
        direction: if pattern.rising { "rising" } else { "falling" },
        notes: pattern.subject.notes().len(),
        table: pattern.rows.iter().map(|row| listed(row, None)).collect(),
    });
    OfPatterns { version: 1, patterns: patterns.collect() }
}
