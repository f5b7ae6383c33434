//! How notes stand on a staff: attacks, stems, beams, rests, ties and ledger lines.
//!
//! What is asked for is common practice as Elaine Gould, *Behind Bars* (2011), and Ted Ross, *The
//! Art of Music Engraving and Processing* (1970), have it; from memory. Lengths in millimetres are
//! those on a staff of six.

mod attacks;
mod beams;
mod leads;
mod rests;
#[cfg(test)]
mod tests;
mod ties;

use std::collections::BTreeMap;

use super::{Finding, FindingKind, finding};
use crate::column::ledger_lines_at;
use crate::frame::{Block, Ink, Item, Origin, Role};
use crate::glyphs::{Sign, Signs};
use crate::practice::STAFF;
use crate::units::{Area, Point, Sp};

/// Notes on as many ledger lines are hard to read.
const MANY_LEDGER_LINES: usize = 2;

/// What was looked at in a system, and what was found.
pub(super) struct Survey<'p> {
    block: &'p Block,
    pub(super) findings: Vec<Finding>,
    /// Among how many things each kind was looked for.
    pub(super) of: BTreeMap<FindingKind, u32>,
}

/// Looks over a system.
pub(super) fn survey<'p>(block: &'p Block, signs: &Signs) -> Survey<'p> {
    let mut survey = Survey { block, findings: Vec::new(), of: BTreeMap::new() };
    let notes = notes(block, signs);
    survey.attacks(&notes);
    survey.breves(&notes, signs);
    survey.ledger_lines(&notes);
    survey.beams(&notes);
    survey.rests(&notes);
    survey.silence(&notes);
    survey.ties(&notes, signs);
    survey.ways_of_ties(&notes);
    survey.leads(&notes);
    survey
}

/// A note or rest as it is drawn.
struct Note<'p> {
    of: Origin,
    heads: Vec<(&'p Item, Sign, Area)>,
    dots: Vec<Area>,
    /// From where the stem begins to where it ends.
    stem: Option<(&'p Item, Point, Point)>,
    /// The rest, unless it is left out, or another stands for it.
    rest: Option<(&'p Item, Area)>,
    has_flag: bool,
}

impl Note<'_> {
    fn is_note(&self) -> bool {
        !self.heads.is_empty()
    }

    fn is_drawn(&self) -> bool {
        self.is_note() || self.rest.is_some()
    }

    /// The middle of its heads.
    fn height(&self) -> Sp {
        let middles = self.heads.iter().map(|(_, _, area)| middle(*area));
        middles.sum::<Sp>() / self.heads.len().max(1) as f64
    }

    /// Where it begins, for what stands below one another.
    fn left(&self) -> Option<Sp> {
        let heads = self.heads.iter().map(|(_, _, area)| area.left);
        heads.chain(self.rest.map(|(_, area)| area.left)).reduce(Sp::min)
    }

    /// Whether its stem goes up; nothing for what has none.
    fn is_up(&self) -> Option<bool> {
        let square = |sign: Sign| matches!(sign, Sign::HeadLonga | Sign::HeadMaxima);
        let (_, from, to) = self.stem?;
        (!self.heads.iter().any(|(_, sign, _)| square(*sign))).then(|| to.y < from.y)
    }
}

fn middle(area: Area) -> Sp {
    (area.top + area.bottom) / 2.0
}

/// The notes and rests of a system, by origin.
fn notes<'p>(block: &'p Block, signs: &Signs) -> BTreeMap<Origin, Note<'p>> {
    let mut notes: BTreeMap<Origin, Note<'p>> = BTreeMap::new();
    for item in &block.frame.items {
        let Some(of) = item.of else { continue };
        let wanted =
            matches!(item.role, Role::Head | Role::Dot | Role::Stem | Role::Rest | Role::Flag);
        if !wanted {
            continue;
        }
        let note = notes.entry(of).or_insert_with(|| Note {
            of,
            heads: Vec::new(),
            dots: Vec::new(),
            stem: None,
            rest: None,
            has_flag: false,
        });
        match (item.role, &item.ink, item.area(signs)) {
            (Role::Head, Ink::Sign { sign, .. }, Some(area)) => {
                note.heads.push((item, *sign, area));
            }
            (Role::Dot, _, Some(area)) => note.dots.push(area),
            (Role::Stem, Ink::Line { from, to, .. }, _) => note.stem = Some((item, *from, *to)),
            (Role::Rest, _, Some(area)) => note.rest = Some((item, area)),
            (Role::Flag, ..) => note.has_flag = true,
            _ => {}
        }
    }
    notes
}

impl<'p> Survey<'p> {
    fn look(&mut self, kind: FindingKind) {
        *self.of.entry(kind).or_default() += 1;
    }

    fn found(&mut self, kind: FindingKind, items: &[&Item]) {
        self.findings.push(finding(kind, self.block, items));
    }

    /// The strokes beside a breve are its own: they touch no neighbour.
    fn breves(&mut self, notes: &BTreeMap<Origin, Note<'p>>, signs: &Signs) {
        let strokes = |sign: Sign, area: Area| {
            let points = signs.outline(sign).points(0);
            let outermost = points.into_iter().filter(|point| point.x < Sp(0.05));
            let high = outermost.fold(Area::EMPTY, Area::with).height() / 2.0;
            let white = Sp(-0.01);
            let area = Area { top: middle(area) - high, bottom: middle(area) + high, ..area };
            [
                Area { right: area.left + Sp(0.3), ..area },
                Area { left: area.right - Sp(0.3), ..area },
            ]
            .map(|side| side.grown(white, white))
        };
        let mut others: Vec<&Item> = self
            .block
            .frame
            .items
            .iter()
            .filter(|item| {
                matches!(item.role, Role::Head | Role::Accidental | Role::Stem | Role::Rest)
            })
            .collect();
        let left = |item: &Item| item.area(signs).map_or(f64::INFINITY, |area| area.left.0);
        others.sort_by(|one, two| left(one).total_cmp(&left(two)));
        for note in notes.values() {
            for (item, sign, area) in &note.heads {
                if !matches!(sign, Sign::HeadBreve | Sign::HeadBreveAmongOthers) {
                    continue;
                }
                self.look(FindingKind::BreveStroke);
                let from = others.partition_point(|other| left(other) < (area.left - Sp(4.0)).0);
                let near = others[from..].iter().take_while(|other| left(other) < area.right.0);
                let touched = near.filter(|other| other.of != item.of).find(|other| {
                    other.area(signs).is_some_and(|there| {
                        there != *area && strokes(*sign, *area).iter().any(|side| side.meets(there))
                    })
                });
                if let Some(other) = touched {
                    self.found(FindingKind::BreveStroke, &[item, other]);
                }
            }
        }
    }

    fn ledger_lines(&mut self, notes: &BTreeMap<Origin, Note<'p>>) {
        for note in notes.values() {
            let Some(staff) = self.block.frame.staves.get(note.of.staff) else { continue };
            let top = staff.bottom - STAFF;
            for (item, _, area) in &note.heads {
                self.look(FindingKind::LedgerLines);
                let lines = ledger_lines_at(middle(*area) - top);
                if lines >= MANY_LEDGER_LINES {
                    self.found(FindingKind::LedgerLines, &[item]);
                }
            }
        }
    }
}
