//! What was read with little confidence: marked, and said with what it may be instead.

use exchange::Remark;
use facsimile::{Change, Instead, Row};
use notation::NoteSign;
use rudiments::Clef;

use crate::StaffLine;
use crate::things::{Played, Thing, confidence, follows};
use crate::voice::Set;
use crate::words;

/// Notes and rests that are less likely than this are marked.
pub(crate) const DOUBTFUL: f64 = 0.8;

/// So many other readings are said.
const SAID: usize = 2;

/// A doubtful note or rest.
pub(crate) struct Doubt {
    /// How likely it is as it was read.
    pub(crate) sure: f64,
    pub(crate) remark: Remark,
}

/// How many notes and rests of a voice are doubtful, and how many there are.
pub(crate) fn share(set: &Set, lines: &[StaffLine]) -> (usize, usize) {
    let events = set.things.iter().filter_map(|thing| match thing {
        Thing::Event(played) => Some(played),
        Thing::Other(_) => None,
    });
    let doubtful =
        events.clone().filter(|played| confidence(&lines[played.line].row, played) < DOUBTFUL);
    (doubtful.count(), events.count())
}

/// Marks what is doubtful in a voice.
pub(crate) fn mark(set: &mut Set, lines: &[StaffLine], voice: &str) -> Vec<Doubt> {
    let mut doubts = Vec::new();
    let mut number = 0;
    let mut clef = set.clef;
    for thing in &mut set.things {
        match thing {
            Thing::Other(notation::ItemKind::Clef(next)) => clef = *next,
            Thing::Other(_) => {}
            Thing::Event(played) => {
                number += 1;
                let row = &lines[played.line].row;
                let sure = confidence(row, played);
                if sure >= DOUBTFUL && !played.odd {
                    continue;
                }
                played.event.signs.extend([NoteSign::Doubt]);
                let what = told(row, played, clef, number, sure);
                let line = played.line as u32 + 1;
                let remark = Remark { file: voice.to_owned(), line, times: 1, what };
                doubts.push(Doubt { sure, remark });
            }
        }
    }
    doubts
}

/// `no. 12, mn D4 (0.55 sure), perhaps sm D4 or a dot after it`.
fn told(row: &Row, played: &Played, clef: Clef, number: u32, sure: f64) -> String {
    let own = words::sort(row.sorts[played.sorts[0]].sort, clef);
    let mut said = format!("no. {number}, {own}, is doubtful ({sure:.2})");
    let mut others: Vec<&Change> =
        row.changes.iter().filter(|change| concerns(change, played)).collect();
    others.sort_by(|a, b| b.odds.total_cmp(&a.odds));
    let others: Vec<String> =
        others.into_iter().take(SAID).map(|change| other(change, row, played, clef)).collect();
    if !others.is_empty() {
        said.push_str(&format!(", perhaps {}", others.join(", or ")));
    }
    said
}

/// Whether a change of a row is one of a note or rest in it.
pub(crate) fn concerns(change: &Change, played: &Played) -> bool {
    let (first, last) = (played.sorts.iter().min(), played.sorts.iter().max());
    let (Some(first), Some(last)) = (first, last) else { return false };
    match change.instead {
        Instead::Other(_) | Instead::Nothing => played.sorts.contains(&change.place),
        Instead::Before(sort) if follows(sort.kind) => change.place == last + 1,
        Instead::Before(_) => (*first..=played.sorts[0]).contains(&change.place),
    }
}

fn other(change: &Change, row: &Row, played: &Played, clef: Clef) -> String {
    let is_own = change.place == played.sorts[0];
    match change.instead {
        Instead::Other(sort) if is_own => words::sort(sort, clef),
        Instead::Nothing if is_own => "nothing".to_owned(),
        Instead::Other(sort) => {
            let read = words::sort(row.sorts[change.place].sort, clef);
            format!("{} instead of {read}", words::sort(sort, clef))
        }
        Instead::Nothing => {
            format!("without {}", words::sort(row.sorts[change.place].sort, clef))
        }
        Instead::Before(sort) if follows(sort.kind) => {
            format!("with {} after it", words::sort(sort, clef))
        }
        Instead::Before(sort) => format!("with {} before it", words::sort(sort, clef)),
    }
}
