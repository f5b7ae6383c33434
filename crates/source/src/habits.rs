//! What prints do, and the network does not know: it sees a staff as a picture.

use facsimile::{Change, Instead, Kind, Row, Sort};
use rudiments::{Accidental, Place, Value};

use crate::beginnings::is_event;

/// How much less likely a direct is amid the notes, and at the end of a voice, as a logarithm of odds: it
/// stands at the end of a line (common practice).
const AMID: f32 = 5.0;

/// How much less likely a natural is than another sign: prints of the time cancel a flat by a sharp, and a
/// sharp by a flat (common practice; see [`Accidental::alteration`]).
const NATURAL: f32 = 2.0;

/// How much less likely a rest over three spaces is than one over two: only where the longa is perfect is
/// there one, and by 1500 that is rare (common practice).
const THREE_SPACES: f32 = 3.0;

/// How much less likely an accidental is that stands at another place than the note after it, or before no
/// note at all.
const ELSEWHERE: f32 = 3.0;

/// How much less likely a note of a breve or more is at the end of a line than a direct, where lines end with
/// one: it is seldom there, and never without a direct.
const LONG_AT_END: f32 = 3.0;

/// The rows of a voice as the habits of prints have them, whose lines end with a direct as often as that
/// says: where a sort is less likely there than it looks,
/// what it may be instead is likelier.
pub(crate) fn applied(rows: Vec<Row>, ending: f32) -> Vec<Row> {
    let last = rows.len().saturating_sub(1);
    let one = |(number, row): (usize, Row)| {
        let places: Vec<Option<Place>> = row.sorts.iter().map(|read| of_note(read.sort)).collect();
        let begins = row.sorts.iter().take_while(|read| !is_event(read.sort.kind)).count();
        let row = likelier(row, &|at, _, sort| seldom(sort) + strays(at, sort, begins, &places));
        let end = row.sorts.iter().rposition(|read| is_event(read.sort.kind));
        let row = likelier(row, &|at, besides, sort| {
            // Instead of the last note it would end the line, too.
            let ends = end.is_none_or(|end| at > end || at == end && !besides) && number < last;
            if sort.kind == Kind::Direct && !ends { AMID } else { 0.0 }
        });
        if number < last { ended(row, ending) } else { row }
    };
    rows.into_iter().enumerate().map(one).collect()
}

/// How much less likely a sort is wherever it stands.
fn seldom(sort: Sort) -> f32 {
    match sort.kind {
        Kind::Accidental(Accidental::Natural) => NATURAL,
        Kind::Rest { spaces: 3, .. } => THREE_SPACES,
        _ => 0.0,
    }
}

/// The place of a note.
fn of_note(sort: Sort) -> Option<Place> {
    if matches!(sort.kind, Kind::Note { .. } | Kind::Bound(_)) { sort.place } else { None }
}

/// How much less likely an accidental is before the sort at a place, by the places of the notes of its row,
/// the first of which has that number: before it stand signs of the signature.
fn strays(at: usize, sort: Sort, begins: usize, places: &[Option<Place>]) -> f32 {
    if !matches!(sort.kind, Kind::Accidental(_)) || at < begins {
        return 0.0;
    }
    // One that is read there stands before the next.
    let next = places.get(at).copied().flatten().or_else(|| places.get(at + 1).copied().flatten());
    if next == sort.place { 0.0 } else { ELSEWHERE }
}

/// How likely a line of a source ends with a direct, as a logarithm of odds (Laplace's rule of succession):
/// the last lines of the voices aside. A long note at the end counts as one, since it looks like one, and
/// few lines end with it.
pub(crate) fn ending<'r>(voices: impl Iterator<Item = &'r [Row]>) -> f32 {
    let lines = voices.flat_map(|rows| &rows[..rows.len().saturating_sub(1)]);
    let (mut with, mut without) = (0, 0);
    for row in lines {
        let last = row.sorts.iter().rev().find(|read| !is_bar(read.sort));
        let ends = last.is_some_and(|read| read.sort.kind == Kind::Direct || is_long(read.sort));
        *(if ends { &mut with } else { &mut without }) += 1;
    }
    ((with + 1) as f32 / (without + 1) as f32).ln()
}

pub(crate) fn is_long(sort: Sort) -> bool {
    matches!(sort.kind, Kind::Note { value, .. } if value <= Value::Breve)
}

/// A row in which each sort is less likely by what a habit says: of its place, whether it stands there besides
/// what is read, and of the sort.
fn likelier(mut row: Row, less: &dyn Fn(usize, bool, Sort) -> f32) -> Row {
    let own: Vec<f32> =
        row.sorts.iter().enumerate().map(|(at, read)| less(at, false, read.sort)).collect();
    for change in &mut row.changes {
        match change.instead {
            Instead::Other(sort) => {
                change.odds += own[change.place] - less(change.place, false, sort);
            }
            Instead::Nothing => change.odds += own[change.place],
            Instead::Before(sort) => change.odds -= less(change.place, true, sort),
        }
    }
    turned(row)
}

/// A row before the last one of a voice, whose lines end with a direct as often as that says.
fn ended(mut row: Row, odds: f32) -> Row {
    let Some(last) = row.sorts.iter().rposition(|read| !is_bar(read.sort)) else { return row };
    if row.sorts[last].sort.kind == Kind::Direct {
        return row;
    }
    let long = if is_long(row.sorts[last].sort) { LONG_AT_END } else { 0.0 };
    for change in &mut row.changes {
        let is_direct = match change.instead {
            Instead::Other(sort) => sort.kind == Kind::Direct && change.place == last,
            Instead::Before(sort) => sort.kind == Kind::Direct && change.place > last,
            Instead::Nothing => false,
        };
        if is_direct {
            change.odds += odds + long;
        }
    }
    turned(row)
}

fn is_bar(sort: Sort) -> bool {
    matches!(sort.kind, Kind::BarLine | Kind::DoubleBar)
}

/// A row with the likeliest reading at each sort.
fn turned(row: Row) -> Row {
    let mut best: Vec<Change> = Vec::new();
    for change in row.changes.iter().filter(|change| change.odds > 0.0) {
        let is_there = |other: &&mut Change| {
            other.place == change.place
                && matches!(other.instead, Instead::Before(_))
                    == matches!(change.instead, Instead::Before(_))
        };
        match best.iter_mut().find(is_there) {
            Some(known) if known.odds < change.odds => *known = *change,
            Some(_) => {}
            None => best.push(*change),
        }
    }
    row.with(best)
}
