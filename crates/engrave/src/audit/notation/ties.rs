//! Ties: they go from head to head.

use std::collections::{BTreeMap, HashMap};

use rudiments::Time;

use super::{Note, Survey, middle};
use crate::audit::FindingKind;
use crate::frame::{Ink, Origin, Role};
use crate::glyphs::Signs;
use crate::units::{Area, Sp};

/// A tie that ends farther from its head does not arrive there.
const SHORT: Sp = Sp(1.0);

impl<'p> Survey<'p> {
    /// Ties begin at a head and end at one, or at accidentals that stand before it.
    pub(super) fn ties(&mut self, notes: &BTreeMap<Origin, Note<'p>>, signs: &Signs) {
        let mut accidentals: HashMap<(usize, Time), Sp> = HashMap::new();
        for item in &self.block.frame.items {
            let (Role::Accidental, Some(of), Some(area)) = (item.role, item.of, item.area(signs))
            else {
                continue;
            };
            let left = accidentals.entry((of.staff, of.onset)).or_insert(area.left);
            *left = (*left).min(area.left);
        }
        for item in &self.block.frame.items {
            let (Role::Tie, Ink::Shape(shape), Some(of)) = (item.role, &item.ink, item.of) else {
                continue;
            };
            let ends = shape.points(0);
            let [from, to, ..] = ends.as_slice() else { continue };
            self.look(FindingKind::ShortTie);
            let own = &notes[&of];
            let near = |note: &Note<'_>| {
                note.heads.iter().map(|(_, _, area)| *area).reduce(|one, two| {
                    let off = |area: Area| (middle(area) - from.y).abs();
                    if off(two) < off(one) { two } else { one }
                })
            };
            let Some(head) = near(own) else { continue };
            let comes_from_before = middle_x(head) > to.x;
            let after = notes.values().filter(|note| {
                note.of.voice == of.voice
                    && note.of.onset == of.end
                    && note.of.index == of.index
                    && note.is_note()
            });
            let reaches = |note: &Note<'_>| {
                let before = accidentals.get(&(note.of.staff, note.of.onset));
                near(note).map(|head| before.map_or(head.left, |x| x.min(head.left)) - to.x)
            };
            let short_at_end = if comes_from_before {
                head.left - to.x > SHORT
            } else {
                after.filter_map(reaches).any(|short| short > SHORT)
            };
            // Of two heads at one height, a tie of either begins behind both.
            let struck = notes.values().filter(|note| {
                (note.of.staff, note.of.onset) == (of.staff, of.onset) && note.of.bar == of.bar
            });
            let level = struck.flat_map(|note| &note.heads).map(|(_, _, area)| *area);
            let level = level.filter(|area| (middle(*area) - middle(head)).abs() < Sp(0.05));
            let head = level.reduce(Area::and).unwrap_or(head);
            let behind = own.dots.iter().map(|dot| dot.right).fold(head.right, Sp::max);
            let short_at_start = !comes_from_before && from.x - behind > SHORT;
            if short_at_end || short_at_start {
                self.found(FindingKind::ShortTie, &[item]);
            }
        }
    }
}

fn middle_x(area: Area) -> Sp {
    (area.left + area.right) / 2.0
}
