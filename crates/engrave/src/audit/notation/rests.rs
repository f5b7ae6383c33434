//! Rests: none too many, none too far, and no staff silent without one.

use std::collections::{BTreeMap, HashMap};

use rudiments::Time;

use super::{Note, Survey};
use crate::audit::{Finding, FindingKind, finding};
use crate::frame::{Ink, Origin, Role};
use crate::practice::STAFF;
use crate::units::{Point, Sp};

/// A rest that reaches farther outside of its staff is out of its sight.
const FARTHEST_REST: Sp = Sp(2.0);

impl<'p> Survey<'p> {
    /// Rests for a part of a bar: what other voices cover is left out as a rule, and none stands
    /// far from its staff.
    pub(super) fn rests(&mut self, notes: &BTreeMap<Origin, Note<'p>>) {
        for note in notes.values() {
            let Some((item, area)) = note.rest else { continue };
            self.look(FindingKind::RestOutside);
            if let Some(staff) = self.block.frame.staves.get(note.of.staff) {
                let over = staff.bottom - STAFF - area.top;
                let under = area.bottom - staff.bottom;
                if over.max(under) > FARTHEST_REST {
                    self.found(FindingKind::RestOutside, &[item]);
                }
            }
        }
        let mut sounding: HashMap<(usize, usize), Vec<(Time, Time)>> = HashMap::new();
        for Note { of, .. } in notes.values().filter(|note| note.is_note()) {
            sounding.entry((of.bar, of.staff)).or_default().push((of.onset, of.end));
        }
        let whole = whole_bars(notes);
        for note in notes.values().filter(|note| !note.is_note()) {
            let Origin { bar, staff, onset, end, .. } = note.of;
            let spans = sounding.get(&(bar, staff)).cloned().unwrap_or_default();
            let for_a_part = whole.get(&bar) != Some(&(onset, end));
            if for_a_part && uncovered(spans, onset, end).is_empty() {
                self.look(FindingKind::CoveredRest);
                if let Some((item, _)) = note.rest {
                    self.found(FindingKind::CoveredRest, &[item]);
                }
            }
        }
    }

    /// No staff is silent without a rest.
    pub(super) fn silence(&mut self, notes: &BTreeMap<Origin, Note<'p>>) {
        // Rests of the staff alone, which belong to no voice.
        let alone: Vec<Point> = self
            .block
            .frame
            .items
            .iter()
            .filter_map(|item| match item.ink {
                Ink::Sign { at, .. } if item.role == Role::Rest && item.of.is_none() => Some(at),
                _ => None,
            })
            .collect();
        let mut spans: HashMap<(usize, usize), Vec<(Time, Time)>> = HashMap::new();
        // Where what begins at each time stands.
        let mut columns: BTreeMap<(usize, Time), Sp> = BTreeMap::new();
        let whole = whole_bars(notes);
        for note in notes.values().filter(|note| note.is_drawn()) {
            let Origin { bar, staff, onset, end, .. } = note.of;
            spans.entry((bar, staff)).or_default().push((onset, end));
            let whole_rest = note.rest.is_some() && whole.get(&bar) == Some(&(onset, end));
            if let Some(left) = note.left().filter(|_| !whole_rest) {
                let column = columns.entry((bar, onset)).or_insert(left);
                *column = (*column).min(left);
            }
        }
        for (bar, (from, to)) in &whole {
            for (number, staff) in self.block.frame.staves.iter().enumerate() {
                self.look(FindingKind::SilentStaff);
                let here = spans.remove(&(*bar, number)).unwrap_or_default();
                let silent = uncovered(here, *from, *to).into_iter().any(|(begins, ends)| {
                    let left =
                        columns.range(..(*bar, begins)).next_back().map_or(Sp(-9.0), |(_, x)| *x);
                    let right =
                        columns.range((*bar, ends)..).next().map_or(Sp(f64::INFINITY), |(_, x)| *x);
                    let top = staff.bottom - STAFF;
                    !alone.iter().any(|at| {
                        left < at.x
                            && at.x < right
                            && top - FARTHEST_REST < at.y
                            && at.y < staff.bottom + FARTHEST_REST
                    })
                });
                if silent {
                    let found = finding(FindingKind::SilentStaff, self.block, &[]);
                    self.findings.push(Finding { bar: Some(*bar), ..found });
                }
            }
        }
    }
}

/// From when to when each bar goes.
fn whole_bars(notes: &BTreeMap<Origin, Note<'_>>) -> BTreeMap<usize, (Time, Time)> {
    let mut bars: BTreeMap<usize, (Time, Time)> = BTreeMap::new();
    for Note { of, .. } in notes.values() {
        let bar = bars.entry(of.bar).or_insert((of.onset, of.end));
        *bar = (bar.0.min(of.onset), bar.1.max(of.end));
    }
    bars
}

/// The stretches between two times in which no span has a part.
fn uncovered(mut spans: Vec<(Time, Time)>, from: Time, to: Time) -> Vec<(Time, Time)> {
    spans.sort_unstable();
    let mut open = Vec::new();
    let mut at = from;
    for (begins, ends) in spans {
        if at < begins.min(to) {
            open.push((at, begins.min(to)));
        }
        at = at.max(ends);
    }
    if at < to {
        open.push((at, to));
    }
    open
}
