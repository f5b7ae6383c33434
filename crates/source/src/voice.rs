//! The rows of a voice's staves as one voice.

use facsimile::{Kind, Row, Sort};
use notation::ItemKind;
use rudiments::{Clef, Sign, Signature};

use crate::beginnings::{Beginning, beginnings};
use crate::ligatures::bound;
use crate::things::{Said, Setter, Thing};
use crate::{StaffLine, black};

/// A voice as it is set.
#[derive(Clone, Debug)]
pub(crate) struct Set {
    pub(crate) clef: Clef,
    pub(crate) signature: Signature,
    pub(crate) sign: Option<Sign>,
    /// What stands in it; line ends are things as others.
    pub(crate) things: Vec<Thing>,
    pub(crate) said: Vec<Said>,
}

/// The voice on these lines; nothing where they have no clef.
pub(crate) fn set(lines: &[StaffLine]) -> Option<Set> {
    let rows: Vec<&Row> = lines.iter().map(|line| &line.row).collect();
    let mut begin = beginnings(&rows)?;
    skip_to_sign(rows.first()?, begin.first_mut()?);
    let first = begin.first()?;
    let (clef, signature) = (first.clef, first.signature);
    let (mut things, mut said): (Vec<Thing>, Vec<Said>) = (Vec::new(), Vec::new());
    let (mut clef_now, mut signature_now) = (clef, signature);
    for (number, (line, beginning)) in lines.iter().zip(&begin).enumerate() {
        if beginning.clef != clef_now {
            things.push(Thing::Other(ItemKind::Clef(beginning.clef)));
        }
        if beginning.signature != signature_now {
            things.push(Thing::Other(ItemKind::Signature(beginning.signature)));
        }
        signature_now = beginning.signature;
        let next = begin.get(number + 1).map(|next| next.clef);
        let (mut on_it, of_it) = Setter::line(&line.row, number, beginning, next);
        said.extend(of_it);
        if number + 1 == lines.len() {
            end(&mut on_it, number, &mut said);
        }
        let changed = on_it.iter().rev().find_map(|thing| match thing {
            Thing::Other(ItemKind::Clef(clef)) => Some(*clef),
            _ => None,
        });
        clef_now = changed.unwrap_or(beginning.clef);
        things.extend(bound(on_it));
        let is_last = line.ends_page || number + 1 == lines.len();
        let end = if is_last { ItemKind::PageEnd } else { ItemKind::LineEnd };
        things.push(Thing::Other(end));
    }
    let sign = first_sign(&mut things);
    without_bar_lines(&mut things, lines.len(), &mut said);
    black::minims(&mut things, sign);
    let things = black::braced(things);
    Some(Set { clef, signature, sign, things, said })
}

/// So far from the beginning of a voice its sign may be read.
pub(crate) const FIRST: usize = 7;

/// Leaves out what looks like notes before the sign of a voice, and is parts of clef and signature: a sign
/// with a circle stands before all notes.
fn skip_to_sign(row: &Row, beginning: &mut Beginning) {
    let is_sign = |sort: Sort| matches!(sort.kind, Kind::Sign(sign) if sign.circle.is_some());
    let sign = row.sorts.iter().take(FIRST).position(|read| is_sign(read.sort));
    if let Some(sign) = sign.filter(|sign| *sign > beginning.body) {
        beginning.left_out.extend(beginning.body..sign);
        beginning.body = sign;
    }
}

/// What a voice ends with says nothing more: its double bar, and no direct stands there.
fn end(things: &mut Vec<Thing>, line: usize, said: &mut Vec<Said>) {
    while let Some(Thing::Other(kind)) = things.last() {
        match kind {
            ItemKind::SectionEnd | ItemKind::BarLine => {}
            ItemKind::Direct(tone) => {
                let what = format!("a direct on {tone} at the end of the voice is left out");
                said.push(Said { line, what });
            }
            _ => break,
        }
        things.pop();
    }
}

/// The sign before the first note, taken out.
fn first_sign(things: &mut Vec<Thing>) -> Option<Sign> {
    let place = things.iter().position(|thing| {
        matches!(thing, Thing::Event(_) | Thing::Other(ItemKind::Sign(_) | ItemKind::LineEnd))
    })?;
    match things[place] {
        Thing::Other(ItemKind::Sign(sign)) => {
            things.remove(place);
            Some(sign)
        }
        _ => None,
    }
}

/// Part-books have no bar lines: what looks like some is said, and left out.
fn without_bar_lines(things: &mut Vec<Thing>, lines: usize, said: &mut Vec<Said>) {
    let mut line = 0;
    things.retain(|thing| match thing {
        Thing::Other(ItemKind::LineEnd | ItemKind::PageEnd) => {
            line = (line + 1).min(lines.saturating_sub(1));
            true
        }
        Thing::Other(ItemKind::BarLine) => {
            said.push(Said { line, what: "a bar line is left out".to_owned() });
            false
        }
        _ => true,
    });
}
