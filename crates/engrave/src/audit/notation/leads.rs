//! Lines that lead a voice to the other hand: each is seen to go from one head to another.

use std::collections::BTreeMap;

use super::{Note, Survey, middle};
use crate::audit::FindingKind;
use crate::frame::{Ink, Item, Origin, Role};
use crate::units::{Area, Point, Sp};

/// How much nearer a line ends to its own head than to any other.
const NEARER: Sp = Sp(0.15);

impl<'p> Survey<'p> {
    /// No two lines cross, and at its ends a line is nearer to the heads of its own voice than to
    /// others.
    pub(super) fn leads(&mut self, notes: &BTreeMap<Origin, Note<'p>>) {
        let leads: Vec<(&'p Item, Origin, [Point; 2])> = self
            .block
            .frame
            .items
            .iter()
            .filter_map(|item| match (item.role, &item.ink, item.of) {
                (Role::VoiceLead, Ink::Line { from, to, .. }, Some(of)) => {
                    Some((item, of, [*from, *to]))
                }
                _ => None,
            })
            .collect();
        let heads: Vec<(usize, Area)> = notes
            .values()
            .flat_map(|note| note.heads.iter().map(|(_, _, area)| (note.of.voice, *area)))
            .collect();
        for (rank, (item, of, ends)) in leads.iter().enumerate() {
            self.look(FindingKind::StrayLead);
            let crossed = leads[..rank].iter().find(|(_, _, other)| cross(*ends, *other));
            let astray =
                ends.iter().any(|end| {
                    let own = heads.iter().filter(|(voice, _)| *voice == of.voice);
                    let own = own.map(|(_, area)| *area);
                    let Some(nearest) = own.reduce(|one, two| {
                        if distance(*end, two) < distance(*end, one) { two } else { one }
                    }) else {
                        return true;
                    };
                    // Another voice may have the same head, or one that touches it.
                    let mut others = heads.iter().filter(|(voice, area)| {
                        *voice != of.voice && (middle(*area) - middle(nearest)).abs() > Sp(0.1)
                    });
                    let far = distance(*end, nearest) + NEARER;
                    others.any(|(_, area)| distance(*end, *area) < far)
                });
            match crossed {
                Some((other, ..)) => self.found(FindingKind::StrayLead, &[item, other]),
                None if astray => self.found(FindingKind::StrayLead, &[item]),
                None => {}
            }
        }
    }
}

/// How far a point is from a rectangle.
fn distance(point: Point, area: Area) -> Sp {
    let across = (area.left - point.x).max(point.x - area.right).max(Sp::ZERO);
    let along = (area.top - point.y).max(point.y - area.bottom).max(Sp::ZERO);
    Sp(across.0.hypot(along.0))
}

/// Whether two straight lines have a point in common.
fn cross([a, b]: [Point; 2], [c, d]: [Point; 2]) -> bool {
    let turn = |from: Point, to: Point, other: Point| {
        (to.x - from.x).0 * (other.y - from.y).0 - (to.y - from.y).0 * (other.x - from.x).0
    };
    turn(a, b, c) * turn(a, b, d) < 0.0 && turn(c, d, a) * turn(c, d, b) < 0.0
}
