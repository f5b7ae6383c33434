//! Whether a file with variants reads as it is meant.

use std::collections::{HashMap, HashSet};
use std::ops::Range;

use notation::{Code, Edit, Group, Item, ItemKind, Parsed, Span, Standing, Voice};

use super::{Told, rights};
use crate::collate::alignment::Column;
use crate::collate::element::{Element, printed};
use crate::collate::{Collation, Pair};
use crate::reckon::{Reckoned, Section, SectionEvent, reckon};
use crate::timed::TimedEvent;

/// What a file with variants has to read as.
pub(super) struct Proof<'p, 's> {
    left: &'p Parsed,
    collation: &'p Collation<'s>,
    reckoned: Reckoned,
    /// The errors of the left file.
    errors: HashSet<(usize, Code)>,
}

impl<'p, 's> Proof<'p, 's> {
    pub(super) fn of(left: &'p Parsed, collation: &'p Collation<'s>) -> Proof<'p, 's> {
        let errors = left.diagnostics.iter().filter(|found| found.is_error());
        Proof {
            left,
            collation,
            reckoned: reckon(&left.piece),
            errors: errors.map(|found| (found.span.start as usize, found.code)).collect(),
        }
    }

    /// Whether what was read of a text, made from the left one by some edits, has no new error, reads as
    /// the left one with the first side of each new variant, and prints what is told with the second.
    pub(super) fn holds(&self, parsed: &Parsed, origins: &Origins, told: &[Told]) -> bool {
        let known = |at: Span, code| {
            let at = origins.of_place(at.start as usize);
            at.is_some_and(|at| self.errors.contains(&(at, code)))
        };
        let mut errors = parsed.diagnostics.iter().filter(|found| found.is_error());
        if !errors.all(|found| known(found.span, found.code)) {
            return false;
        }
        let (voices, before) = (&parsed.piece.voices, &self.left.piece.voices);
        let one = voices.len() == before.len()
            && voices
                .iter()
                .zip(before)
                .all(|(voice, before)| same_items(&side(voice, origins, false), &before.items))
            && same_times(&reckon(&parsed.piece), &self.reckoned);
        one && self.collation.pairs.iter().enumerate().all(|(place, pair)| {
            let other = &voices[pair.voice];
            let other = Voice { items: side(other, origins, true), ..without_items(other) };
            same_elements(&printed(&other), &expected(pair, place, told))
        })
    }
}

/// What is printed of a voice with the second side of some variants.
fn expected<'e, 's>(pair: &'e Pair<'s>, place: usize, told: &[Told]) -> Vec<&'e Element<'s>> {
    let mut elements = Vec::with_capacity(pair.left.len().max(pair.right.len()));
    let as_left = |columns: Range<usize>, elements: &mut Vec<&'e Element<'s>>| {
        for column in &pair.columns[columns] {
            match column {
                Column::Both(here, _) | Column::Left(here) => elements.push(&pair.left[*here]),
                Column::Right(_) => {}
                Column::Passage(here, _) => elements.extend(&pair.left[here.clone()]),
            }
        }
    };
    let mut done = 0;
    let variants = told.iter().filter(|told| told.pair == place).flat_map(|told| &told.variants);
    for variant in variants {
        as_left(done..variant.columns.start, &mut elements);
        let there = rights(pair, variant.columns.clone());
        elements.extend(there.map(|there| &pair.right[there]));
        done = variant.columns.end;
    }
    as_left(done..pair.columns.len(), &mut elements);
    elements
}

fn same_elements(one: &[Element<'_>], other: &[&Element<'_>]) -> bool {
    one.len() == other.len() && one.iter().zip(other).all(|(one, other)| one.same(other))
}

/// The items of a voice with one side of each variant that is new.
fn side(voice: &Voice, origins: &Origins, second: bool) -> Vec<Item> {
    let mut items = Vec::with_capacity(voice.items.len());
    let mut within = false;
    for item in &voice.items {
        match item.kind {
            ItemKind::Open(Group::Variant) if origins.is_new(item.span.start as usize) => {
                within = true;
                continue;
            }
            ItemKind::Close(Group::Variant) if within => {
                within = false;
                continue;
            }
            _ => {}
        }
        let mut item = item.clone();
        if within {
            // The stroke between the sides stands on the second.
            let is_second = item.standing == Standing::Alternative;
            if is_second != second || (is_second && item.kind == ItemKind::Divide) {
                continue;
            }
            if is_second {
                item.standing = Standing::Printed;
            }
        }
        items.push(item);
    }
    items
}

fn without_items(voice: &Voice) -> Voice {
    Voice { name: voice.name.clone(), items: Vec::new(), ..*voice }
}

/// Whether items are the same, but for their places in the text and the numbers of ligatures.
fn same_items(one: &[Item], other: &[Item]) -> bool {
    let mut numbers: HashMap<u32, u32> = HashMap::new();
    one.len() == other.len()
        && one.iter().zip(other).all(|(one, other)| match (&one.kind, &other.kind) {
            (ItemKind::Event(here), ItemKind::Event(there)) => {
                let bound = match (here.ligature, there.ligature) {
                    (Some(here), Some(there)) => *numbers.entry(here).or_insert(there) == there,
                    (here, there) => here == there,
                };
                let mut here = here.clone();
                here.ligature = there.ligature;
                bound && one.standing == other.standing && here == *there
            }
            (here, there) => one.standing == other.standing && here == there,
        })
}

/// Whether all events have the same lengths, by the same rules, at the same times.
fn same_times(one: &Reckoned, other: &Reckoned) -> bool {
    let events = |one: &SectionEvent, other: &SectionEvent| {
        let one = TimedEvent {
            item: other.item,
            span: other.span,
            ligature: other.ligature,
            notes: one.notes.clone(),
            ..*one
        };
        one == *other
    };
    let sections = |one: &Section, other: &Section| {
        one.end == other.end
            && one.changes == other.changes
            && one.close.map(|end| end.repeat) == other.close.map(|end| end.repeat)
            && one.bar_lines.iter().map(|line| line.0).eq(other.bar_lines.iter().map(|line| line.0))
            && one.line_ends.iter().map(|line| line.0).eq(other.line_ends.iter().map(|line| line.0))
            && one.events.len() == other.events.len()
            && one.events.iter().zip(&other.events).all(|(one, other)| events(one, other))
    };
    one.voices.len() == other.voices.len()
        && one.voices.iter().zip(&other.voices).all(|(one, other)| {
            one.place == other.place
                && one.sections.len() == other.sections.len()
                && one.sections.iter().zip(&other.sections).all(|(one, other)| sections(one, other))
        })
}

/// Where what stands in an edited text comes from.
pub(super) struct Origins {
    /// Beside the edits, in order: what they put into the edited text, and in place of what.
    edits: Vec<(Range<usize>, Range<usize>)>,
}

impl Origins {
    pub(super) fn of(edits: &[Edit]) -> Origins {
        let mut edits: Vec<&Edit> = edits.iter().collect();
        edits.sort_by_key(|edit| edit.span);
        let (mut done, mut written) = (0, 0);
        let placed = edits.iter().map(|edit| {
            let range = edit.span.range();
            let start = written + range.start - done;
            (done, written) = (range.end, start + edit.text.len());
            (start..written, range)
        });
        Origins { edits: placed.collect() }
    }

    /// The edit in which a place is, or else the one before it.
    fn edit(&self, place: usize) -> Option<&(Range<usize>, Range<usize>)> {
        let after = self.edits.partition_point(|(new, _)| new.start <= place);
        self.edits.get(after.checked_sub(1)?)
    }

    /// Whether an edit has put it there.
    fn is_new(&self, place: usize) -> bool {
        self.edit(place).is_some_and(|(new, _)| new.contains(&place))
    }

    /// The place in the text before; of what was typed anew, that of what it replaces.
    fn of_place(&self, place: usize) -> Option<usize> {
        match self.edit(place) {
            None => Some(place),
            Some((new, old)) if new.contains(&place) => (!old.is_empty()).then_some(old.start),
            Some((new, old)) => Some(place - new.end + old.end),
        }
    }
}
