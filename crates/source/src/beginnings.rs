//! With which clef and signature each line of a voice begins: all lines together say it, since most repeat
//! those of the line before.

use facsimile::{Instead, Kind, Read, Row, Sort};
use rudiments::{Accidental, Clef, ClefShape, Place, Signature, Step};

/// What a line with another clef, or another signature, than the one before costs, as a logarithm of odds:
/// one line in a hundred, say.
const CHANGE: f64 = 4.6;

/// What it costs at most that a line has another clef than was read: whoever mistakes one does so again, so
/// lines are no witnesses of their own.
const UNREAD: f64 = 3.0;

/// What each sign costs that a signature has more, or fewer, than was read.
const SIGN: f64 = 3.0;

/// What a signature costs whose signs are not those of the usual order.
const UNUSUAL_SIGNATURE: f64 = 4.0;

/// What each of its sharps costs: prints of the time have next to none in signatures (common practice).
const SHARP: f64 = 1.0;

/// What a clef costs on a line where none is in use (common practice: see the table of clefs in
/// `docs/notation.md`); and where it is rare.
const NOT_IN_USE: f64 = 4.0;
const RARE: f64 = 0.5;

/// A clef stands among so many of the first sorts; what stands before it are spots and ornaments.
const FIRST: usize = 3;

/// How a line begins.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Beginning {
    pub(crate) clef: Clef,
    pub(crate) signature: Signature,
    /// The place of its clef in the row.
    pub(crate) at: Option<usize>,
    /// The place in the row after the signature.
    pub(crate) body: usize,
    /// The places of signs after the clef that are no part of the signature, nor of the first note.
    pub(crate) left_out: Vec<usize>,
}

/// How the lines of a voice begin; nothing where no clef is read on any of them.
///
/// Clef and signature are weighed together, since a flat at a place is that of B under one clef alone.
pub(crate) fn beginnings(rows: &[&Row]) -> Option<Vec<Beginning>> {
    let read: Vec<Vec<(Clef, f64)>> = rows.iter().map(|row| read_clefs(row)).collect();
    let signs: Vec<Signs> = rows.iter().map(|row| Signs::of(row)).collect();
    let states = states(&read, &signs);
    if states.is_empty() {
        return None;
    }
    let cost = |line: usize, number: usize| {
        let (clef, signature) = states[number];
        clef_cost(&read[line], clef) + signs[line].cost(clef, signature) + rarity(clef, signature)
    };
    let path = cheapest(rows.len(), states.len(), cost, |line, from, to| {
        let (clef, signature) = states[from];
        let clef = last_clef(rows[line]).unwrap_or(clef);
        let changes = usize::from(clef != states[to].0) + usize::from(signature != states[to].1);
        CHANGE * changes as f64
    });
    let lines = signs.into_iter().zip(path);
    Some(lines.map(|(signs, state)| signs.beginning(states[state].0, states[state].1)).collect())
}

/// All clefs that may be, with all signatures that may.
fn states(read: &[Vec<(Clef, f64)>], signs: &[Signs]) -> Vec<(Clef, Signature)> {
    let mut clefs: Vec<Clef> = Vec::new();
    // Shapes are mistaken more easily than lines.
    let found = read.iter().flatten().map(|(clef, _)| *clef);
    let found = found.flat_map(|clef| ClefShape::ALL.map(|shape| Clef { shape, ..clef }));
    for clef in found {
        if !clefs.contains(&clef) {
            clefs.push(clef);
        }
    }
    let mut states: Vec<(Clef, Signature)> = Vec::new();
    for clef in clefs {
        for signature in signs.iter().flat_map(|signs| signs.readings(clef)) {
            if !states.contains(&(clef, signature)) {
                states.push((clef, signature));
            }
        }
    }
    states
}

/// What it costs that a line has a clef; where none is read, each is as likely.
fn clef_cost(read: &[(Clef, f64)], clef: Clef) -> f64 {
    let known = read.iter().find(|(known, _)| *known == clef);
    if read.is_empty() { 0.0 } else { known.map_or(UNREAD, |(_, likely)| UNREAD.min(-likely)) }
}

/// What a clef and a signature cost by themselves.
fn rarity(clef: Clef, signature: Signature) -> f64 {
    let of_clef = match (clef.shape, clef.line) {
        (ClefShape::G, 2) | (ClefShape::C, 1..=4) | (ClefShape::F, 3 | 4) => 0.0,
        (ClefShape::G, 1) | (ClefShape::C | ClefShape::F, 5) => RARE,
        _ => NOT_IN_USE,
    };
    let of_signature = match signature.fifths() {
        None => UNUSUAL_SIGNATURE,
        Some(fifths) => SHARP * f64::from(fifths.max(0)),
    };
    of_clef + of_signature
}

/// The clef that a sort is; nothing where it stands on no line.
pub(crate) fn clef(sort: Sort) -> Option<Clef> {
    let (Kind::Clef(shape), Some(place)) = (sort.kind, sort.place) else { return None };
    if place % 2 != 0 { None } else { Clef::new(shape, u8::try_from(place / 2).ok()?) }
}

/// The place of the clef with which a row begins.
pub(crate) fn leading(row: &Row) -> Option<usize> {
    let first = row.sorts.iter().take(FIRST).take_while(|read| !is_event(read.sort.kind));
    first.enumerate().find(|(_, read)| matches!(read.sort.kind, Kind::Clef(_))).map(|(at, _)| at)
}

/// Whether a sort is a note or a rest.
pub(crate) fn is_event(kind: Kind) -> bool {
    matches!(kind, Kind::Note { .. } | Kind::Bound(_) | Kind::Rest { .. })
}

/// What is read of a clef, with how likely it is, as logarithms.
fn read_clefs(row: &Row) -> Vec<(Clef, f64)> {
    let Some(at) = leading(row) else { return Vec::new() };
    let read = &row.sorts[at];
    let own = f64::from(read.confidence.max(1e-3)).ln();
    let mut found: Vec<(Clef, f64)> = clef(read.sort).map(|clef| (clef, own)).into_iter().collect();
    for change in row.changes.iter().filter(|change| change.place == at) {
        if let Instead::Other(sort) = change.instead
            && let Some(clef) = clef(sort)
        {
            found.push((clef, own + f64::from(change.odds)));
        }
    }
    found
}

/// The last clef in the middle of a line, if it is likely.
pub(crate) fn last_clef(row: &Row) -> Option<Clef> {
    let first = leading(row).map_or(0, |at| at + 1);
    let later = row.sorts.iter().skip(first).filter(|read| read.confidence > 0.5);
    later.filter_map(|read| clef(read.sort)).next_back()
}

/// The way through as many states for each line that costs least.
fn cheapest(
    lines: usize,
    states: usize,
    cost: impl Fn(usize, usize) -> f64,
    step: impl Fn(usize, usize, usize) -> f64,
) -> Vec<usize> {
    let mut costs: Vec<f64> = (0..states).map(|state| cost(0, state)).collect();
    let mut from: Vec<Vec<usize>> = Vec::new();
    for line in 1..lines {
        let best = |to: usize| {
            let ways = (0..states).map(|state| (state, costs[state] + step(line - 1, state, to)));
            ways.min_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((0, 0.0))
        };
        let ways: Vec<(usize, f64)> = (0..states).map(best).collect();
        costs = ways.iter().enumerate().map(|(to, (_, way))| way + cost(line, to)).collect();
        from.push(ways.into_iter().map(|(state, _)| state).collect());
    }
    let mut last = (0..states).min_by(|a, b| costs[*a].total_cmp(&costs[*b])).unwrap_or_default();
    let mut path = vec![last];
    for ways in from.iter().rev() {
        last = ways[last];
        path.push(last);
    }
    path.reverse();
    path
}

/// The signs directly after a clef.
struct Signs {
    clef: Option<usize>,
    /// Each with its place in the row.
    accidentals: Vec<(usize, Place, Accidental)>,
    /// Whether the last may be that of the first note.
    last_is_of_note: bool,
}

impl Signs {
    fn of(row: &Row) -> Signs {
        let at = leading(row);
        let first = at.map_or(0, |at| at + 1);
        let sign = |(at, read): (usize, &Read)| match (read.sort.kind, read.sort.place) {
            (Kind::Accidental(accidental), Some(place)) => Some((at, place, accidental)),
            _ => None,
        };
        let accidentals: Vec<(usize, Place, Accidental)> =
            row.sorts.iter().enumerate().skip(first).map_while(sign).collect();
        let next = row.sorts.get(first + accidentals.len());
        let last_is_of_note = accidentals.last().is_some_and(|(_, place, _)| {
            next.is_some_and(|next| {
                let is_note = matches!(next.sort.kind, Kind::Note { .. } | Kind::Bound(_));
                is_note && next.sort.place == Some(*place)
            })
        });
        Signs { clef: at, accidentals, last_is_of_note }
    }

    /// The signature that they make under a clef, all of them or without the last.
    fn signature(&self, clef: Clef, without_last: bool) -> Signature {
        let count = self.accidentals.len() - usize::from(without_last);
        self.accidentals[..count].iter().fold(
            Signature::NONE,
            |signature, (_, place, accidental)| {
                let step = clef.tone_at(*place).step;
                match accidental {
                    Accidental::Sharp => signature.with(step, 1),
                    Accidental::Flat => signature.with(step, -1),
                    Accidental::Natural => signature,
                }
            },
        )
    }

    /// The signatures that they may be.
    fn readings(&self, clef: Clef) -> Vec<Signature> {
        let mut readings = vec![self.signature(clef, false)];
        if self.last_is_of_note {
            readings.push(self.signature(clef, true));
        }
        readings
    }

    /// What it costs that they are a signature.
    fn cost(&self, clef: Clef, signature: Signature) -> f64 {
        let differences = |read: Signature| {
            let differs = |step: &&Step| read.alteration(**step) != signature.alteration(**step);
            Step::ALL.iter().filter(differs).count()
        };
        let least = self.readings(clef).into_iter().map(differences).min();
        SIGN * least.unwrap_or(0) as f64
    }

    fn beginning(self, clef: Clef, signature: Signature) -> Beginning {
        let is_of_signature = |(_, place, accidental): &(usize, Place, Accidental)| {
            let alteration = signature.alteration(clef.tone_at(*place).step);
            match accidental {
                Accidental::Sharp => alteration > 0,
                Accidental::Flat => alteration < 0,
                Accidental::Natural => false,
            }
        };
        let first = self.clef.map_or(0, |at| at + 1);
        let mut body = first + self.accidentals.len();
        let mut left_out: Vec<usize> = self
            .accidentals
            .iter()
            .filter(|sign| !is_of_signature(sign))
            .map(|(at, ..)| *at)
            .collect();
        if self.last_is_of_note && left_out.last() == Some(&(body - 1)) {
            left_out.pop();
            body -= 1;
        }
        Beginning { clef, signature, at: self.clef, body, left_out }
    }
}

/// The clef with which a row begins.
pub(crate) fn first_clef(row: &Row) -> Option<Clef> {
    leading(row).and_then(|at| clef(row.sorts[at].sort))
}
