//! Ties: they go from head to head, clear of one another and of the stems of other voices.

use std::collections::{BTreeMap, HashMap};

use rudiments::Time;

use super::{Note, Survey, middle};
use crate::audit::FindingKind;
use crate::frame::{Ink, Item, Origin, Role};
use crate::glyphs::Signs;
use crate::outline::{Stroke, on_curve};
use crate::practice::TIE_THICKNESS;
use crate::units::{Area, Point, Sp};

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

/// The course of a tie from its left end to its right.
struct Course<'p> {
    item: &'p Item,
    of: Origin,
    points: Vec<Point>,
}

impl<'p> Course<'p> {
    fn of(item: &'p Item) -> Option<Course<'p>> {
        let (Role::Tie, Ink::Shape(shape), Some(of)) = (item.role, &item.ink, item.of) else {
            return None;
        };
        let [Stroke::Move(from), Stroke::Cubic(one, two, to), ..] = shape.strokes[..] else {
            return None;
        };
        let curve = [from, one, two, to];
        let points = (0..=24).map(|step| on_curve(curve, f64::from(step) / 24.0)).collect();
        Some(Course { item, of, points })
    }

    fn ends(&self) -> (Sp, Sp) {
        (self.points[0].x, self.points[self.points.len() - 1].x)
    }

    /// How low it is at a place between its ends.
    fn at(&self, x: Sp) -> Option<Sp> {
        let after = self.points.partition_point(|point| point.x <= x);
        let (one, two) = (self.points.get(after.checked_sub(1)?)?, self.points.get(after)?);
        let part = (x - one.x) / (two.x - one.x);
        Some(one.y + (two.y - one.y) * part)
    }

    /// Whether another runs so near to it somewhere that no white is left.
    fn touches(&self, other: &Course<'_>) -> bool {
        let near = |point: &Point| {
            other.at(point.x).is_some_and(|y| (y - point.y).abs() < TIE_THICKNESS + Sp(0.03))
        };
        self.points.iter().any(near)
    }
}

impl<'p> Survey<'p> {
    /// Two ties stay apart; stems of other voices are rather not in their way (common practice).
    pub(super) fn ways_of_ties(&mut self, notes: &BTreeMap<Origin, Note<'p>>) {
        let mut ties: Vec<Course<'p>> =
            self.block.frame.items.iter().filter_map(Course::of).collect();
        ties.sort_by(|one, two| one.ends().0.0.total_cmp(&two.ends().0.0));
        let mut stems: Vec<(Origin, &'p Item, Point, Point)> = notes
            .values()
            .filter_map(|note| note.stem.map(|(item, from, to)| (note.of, item, from, to)))
            .collect();
        stems.sort_by(|one, two| one.2.x.0.total_cmp(&two.2.x.0));
        for (rank, tie) in ties.iter().enumerate() {
            self.look(FindingKind::TiesMerge);
            let (left, right) = tie.ends();
            let mut later = ties[rank + 1..].iter().take_while(|other| other.ends().0 < right);
            if let Some(other) = later.find(|other| tie.touches(other)) {
                self.found(FindingKind::TiesMerge, &[tie.item, other.item]);
            }
            self.look(FindingKind::StemInTie);
            let first = stems.partition_point(|stem| stem.2.x < left + Sp(0.2));
            let under = stems[first..].iter().take_while(|stem| stem.2.x < right - Sp(0.2));
            let mut through = under.filter(|(of, _, from, to)| {
                let (top, bottom) = (from.y.min(to.y), from.y.max(to.y));
                let meets = tie.at(from.x).is_some_and(|y| top < y && y < bottom);
                of.voice != tie.of.voice && meets
            });
            if let Some((_, stem, ..)) = through.next() {
                self.found(FindingKind::StemInTie, &[tie.item, stem]);
            }
        }
    }
}

fn middle_x(area: Area) -> Sp {
    (area.left + area.right) / 2.0
}
