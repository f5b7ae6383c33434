//! The differences of two parts files as variants in one of them, `<? left | right >`.
//!
//! All bytes of the left file stay; only `_*4` is taken apart where a difference is inside it. A variant
//! stands within one source line and one side of an emendation; where a ligature or coloration differs,
//! it holds whole ligatures and passages. On the right side octaves are always typed, and the value that
//! is in force after the left side is typed at the end, so that either side can be kept by hand.

mod barriers;
mod context;
mod other;
mod proof;

use std::collections::HashMap;
use std::ops::Range;

use notation::{Beside, Edit, Parsed, apply, examples, variants};

use super::alignment::Column;
use super::element::{Joint, What};
use super::{Collation, Pair};
use barriers::Barriers;
use context::Context;
use other::other;
use proof::{Origins, Proof};

/// So many bytes are read again at most, to find which variants a file cannot hold, or the file so many
/// times if it is large. Where that does not do, variants that were not tried are left out.
const MOST_READ: usize = 16 << 20;
const FEWEST_TRIALS: usize = 16;
const MOST_TRIALS: usize = 256;

/// A parts file with variants.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Merged {
    /// Its text.
    pub text: String,
    /// How many differences could not be written: voices that one side lacks, what stands on the lines of
    /// voices, passages with too little in common, what lies within variants already, and what would not
    /// read as it is meant.
    pub unwritten: usize,
}

/// Writes the differences of two parts files, compared as printed, into the left one.
///
/// What comes out is read again: with the first side of every variant it is the left file, event for
/// event, with the second what the right one prints, and it has no error that the left one has not. A
/// difference for which that would not hold is left out.
pub fn merge(text: &str, left: &Parsed, collation: &Collation<'_>) -> Merged {
    merge_all(text, &[(left, collation)])
}

/// The same for several examples of a text, each with its collation.
pub fn merge_all(text: &str, compared: &[(&Parsed, &Collation<'_>)]) -> Merged {
    let barriers: Vec<Barriers> = compared.iter().map(|(left, _)| Barriers::of(left)).collect();
    let sheets = compared.iter().zip(&barriers).map(|((left, collation), barriers)| {
        let context =
            |pair: &'_ Pair<'_>| Context::of(&left.piece.voices[pair.voice], pair, barriers);
        Sheet {
            left,
            collation,
            contexts: collation.pairs.iter().map(context).collect(),
            proof: Proof::of(left, collation),
        }
    });
    let sheets: Vec<Sheet<'_, '_>> = sheets.collect();
    let told: Vec<Told> = sheets.iter().enumerate().flat_map(|(n, sheet)| sheet.told(n)).collect();
    let differences: usize = sheets.iter().map(|sheet| sheet.collation.differences.len()).sum();
    let mut merger = Merger {
        text,
        sheets,
        trials: (MOST_READ / text.len().max(1)).clamp(FEWEST_TRIALS, MOST_TRIALS),
        held: Vec::new(),
        merged: text.to_owned(),
    };
    merger.admit(&told);
    let written: usize = merger.held.iter().map(Told::stretches).sum();
    Merged { text: merger.merged, unwritten: differences - written }
}

/// An example that is compared.
struct Sheet<'m, 's> {
    left: &'m Parsed,
    collation: &'m Collation<'s>,
    /// Beside the pairs.
    contexts: Vec<Context<'m>>,
    proof: Proof<'m, 's>,
}

impl Sheet<'_, '_> {
    /// All that may be written for it.
    fn told(&self, sheet: usize) -> Vec<Told> {
        let pairs = self.collation.pairs.iter().zip(&self.contexts).enumerate();
        let whole = |(pair, (aligned, context))| {
            let found = found(aligned, context);
            let ended = found.split_inclusive(|variant| variant.stretches > 0);
            let told = ended.map(|variants| Told { sheet, pair, variants: variants.to_vec() });
            told.collect::<Vec<Told>>()
        };
        pairs.flat_map(whole).collect()
    }
}

/// The variants that tell one difference, or several that overlap; either all are written or none.
#[derive(Clone)]
struct Told {
    /// The example, by its place among those that are compared.
    sheet: usize,
    /// The pair of voices, by its place in the collation.
    pair: usize,
    variants: Vec<Variant>,
}

impl Told {
    /// How many differences they tell.
    fn stretches(&self) -> usize {
        self.variants.iter().map(|variant| variant.stretches).sum()
    }
}

/// Writes what holds.
struct Merger<'m, 's> {
    text: &'m str,
    sheets: Vec<Sheet<'m, 's>>,
    /// How many are left.
    trials: usize,
    /// What is written, in order.
    held: Vec<Told>,
    /// The text with that.
    merged: String,
}

impl Merger<'_, '_> {
    /// Adds what follows the variants that are written, as far as it holds.
    fn admit(&mut self, told: &[Told]) {
        if told.is_empty() || self.trials == 0 {
            return;
        }
        self.trials -= 1;
        let before = self.held.len();
        self.held.extend_from_slice(told);
        let edits = self.edits();
        let merged = apply(self.text, &edits);
        if self.holds(&merged, &edits) {
            self.merged = merged;
            return;
        }
        self.held.truncate(before);
        if told.len() > 1 {
            let (first, second) = told.split_at(told.len() / 2);
            self.admit(first);
            self.admit(second);
        }
    }

    /// Whether a text with what is held reads as it is meant.
    fn holds(&self, merged: &str, edits: &[Edit]) -> bool {
        let read = examples(merged);
        let by_name: HashMap<Option<&str>, &Parsed> =
            read.examples.iter().map(|parsed| (parsed.name(), parsed)).collect();
        let origins = Origins::of(edits);
        let mut left = self.held.as_slice();
        self.sheets.iter().enumerate().all(|(number, sheet)| {
            let (told, rest) = left.split_at(left.partition_point(|told| told.sheet <= number));
            left = rest;
            let parsed = by_name.get(&sheet.left.name());
            parsed.is_some_and(|parsed| sheet.proof.holds(parsed, &origins, told))
        })
    }

    /// The variants as edits of the left text.
    fn edits(&self) -> Vec<Edit> {
        let mut edits = Vec::new();
        for of_voice in
            self.held.chunk_by(|one, other| (one.sheet, one.pair) == (other.sheet, other.pair))
        {
            let (sheet, pair) = (&self.sheets[of_voice[0].sheet], of_voice[0].pair);
            let (context, pair) = (&sheet.contexts[pair], &sheet.collation.pairs[pair]);
            let typed = |variant: &Variant| notation::Variant {
                beside: variant.place,
                other: other(pair, context, variant.columns.clone(), variant.place),
            };
            let told: Vec<notation::Variant> =
                of_voice.iter().flat_map(|told| &told.variants).map(typed).collect();
            edits.extend(variants(self.text, sheet.left, pair.voice, &told));
        }
        edits
    }
}

/// A variant to be written.
#[derive(Clone, PartialEq, Eq, Debug)]
struct Variant {
    columns: Range<usize>,
    place: Beside,
    /// How many stretches of differences end with it.
    stretches: usize,
}

/// The variants of a pair of voices, in order.
fn found(pair: &Pair<'_>, context: &Context<'_>) -> Vec<Variant> {
    let mut variants: Vec<Variant> = Vec::new();
    for stretch in &pair.stretches {
        let done = variants.last().map_or(0, |last| last.columns.end);
        if stretch.end <= done {
            // Part of a larger variant.
            if let Some(last) = variants.last_mut() {
                last.stretches += 1;
            }
            continue;
        }
        let mut columns = stretch.start.max(done)..stretch.end;
        let (mut counted, mut swallows) = (1, false);
        let pieces = loop {
            let previous = variants.last();
            let found = if swallows {
                closed(pair, context, columns.clone()).map(|piece| vec![piece])
            } else {
                pieces(pair, context, columns.clone(), previous.map(|last| last.place))
            };
            let touched = found.iter().flatten().next().zip(previous);
            let Some((piece, last)) = touched.filter(|(piece, last)| touches(last, piece)) else {
                break found;
            };
            // A larger variant swallows the one before it.
            columns = last.columns.start..columns.end.max(piece.columns.end);
            (counted, swallows) = (counted + last.stretches, true);
            variants.pop();
        };
        let Some(mut pieces) = pieces else { continue };
        if let Some(last) = pieces.last_mut() {
            last.stretches = counted;
        }
        variants.extend(pieces);
    }
    variants
}

/// Whether a variant reaches into a following one.
fn touches(variant: &Variant, following: &Variant) -> bool {
    let inside = match (variant.place, following.place) {
        (Beside::Before(item), Beside::Around(begin, _)) => item > begin,
        _ => false,
    };
    variant.columns.end > following.columns.start || inside
}

/// The variants of one stretch: as it is, parted where something stands in it that no variant may hold;
/// or the whole with the groups that it touches.
fn pieces(
    pair: &Pair<'_>,
    context: &Context<'_>,
    columns: Range<usize>,
    previous: Option<Beside>,
) -> Option<Vec<Variant>> {
    let mut parts: Vec<Variant> = Vec::new();
    let (mut start, mut last) = (columns.start, None);
    for end in columns.start + 1..=columns.end {
        let whole = start..end;
        last = lefts(pair, end - 1..end).next().or(last);
        let parted = end == columns.end || {
            let next = lefts(pair, end..end + 1).next();
            matches!((last, next), (Some(last), Some(next))
                if next != last + 1 || context.barred(last, next))
        };
        if !parted {
            continue;
        }
        let previous = parts.last().map(|part| part.place).or(previous);
        match plain(pair, context, whole.clone(), previous) {
            Some(part) => parts.push(part),
            None => return closed(pair, context, columns).map(|one| vec![one]),
        }
        (start, last) = (end, None);
    }
    Some(parts)
}

/// The items of the left elements in some columns.
fn lefts<'p>(
    pair: &'p Pair<'_>,
    columns: Range<usize>,
) -> impl DoubleEndedIterator<Item = usize> + 'p {
    pair.columns[columns].iter().filter_map(|column| match column {
        Column::Both(here, _) | Column::Left(here) => Some(pair.left[*here].item),
        _ => None,
    })
}

/// The right elements in some columns.
fn rights<'p>(
    pair: &'p Pair<'_>,
    columns: Range<usize>,
) -> impl DoubleEndedIterator<Item = usize> + 'p {
    pair.columns[columns].iter().filter_map(|column| match column {
        Column::Both(_, there) | Column::Right(there) => Some(*there),
        _ => None,
    })
}

/// The joints of the right side at both edges of some columns, and all within them.
fn right_joints(
    pair: &Pair<'_>,
    context: &Context<'_>,
    columns: &Range<usize>,
) -> (Joint, Joint, Vec<Joint>) {
    let events: Vec<(Joint, Joint)> = rights(pair, columns.clone())
        .filter_map(|there| match pair.right[there].what {
            What::Event { before, after, .. } => Some((before, after)),
            _ => None,
        })
        .collect();
    match (events.first(), events.last()) {
        (Some(first), Some(last)) => {
            let inner = events[..events.len() - 1].iter().map(|(_, after)| *after).collect();
            (first.0, last.1, inner)
        }
        _ => {
            // Nothing is there: what stands before is bound to what follows, or not.
            let joint = context.right_joints[columns.start];
            (joint, joint, Vec::new())
        }
    }
}

/// A stretch just as it is, if what the right side has can stand there with the groups of the left.
fn plain(
    pair: &Pair<'_>,
    context: &Context<'_>,
    columns: Range<usize>,
    previous: Option<Beside>,
) -> Option<Variant> {
    if pair.columns[columns.clone()].iter().any(|column| matches!(column, Column::Passage(..))) {
        return None;
    }
    let mut items = lefts(pair, columns.clone());
    let first = items.next();
    let spots = match (first, items.next_back().or(first)) {
        (Some(first), Some(last)) => vec![Beside::Around(first, last)],
        _ => {
            let before = lefts(pair, 0..columns.start).next_back();
            let after = lefts(pair, columns.end..pair.columns.len()).next();
            // The variant before may reach farther than its last note.
            let before = match previous {
                Some(Beside::Around(_, last)) => before.max(Some(last)),
                _ => before,
            };
            before.map(Beside::After).into_iter().chain(after.map(Beside::Before)).collect()
        }
    };
    let fits = |spot: &Beside| fits(pair, context, &columns, *spot);
    let place = spots.into_iter().find(fits)?;
    Some(Variant { columns, place, stretches: 0 })
}

/// Whether what the right side has in some columns can be typed at a place of the left.
fn fits(pair: &Pair<'_>, context: &Context<'_>, columns: &Range<usize>, spot: Beside) -> bool {
    let (first, last) = match spot {
        Beside::Around(first, last) => (first, last),
        Beside::After(item) | Beside::Before(item) => (item, item),
    };
    let around = &context.around[first];
    if around.variant || around.depth > 2 || context.touches_oblique(first, last) {
        return false;
    }
    if context.barred(first, last) || !typable(pair, context, columns) {
        return false;
    }
    let colored = |there: usize| match pair.right[there].what {
        What::Event { event, .. } => event.colored,
        _ => true,
    };
    if around.coloration.is_some() && !rights(pair, columns.clone()).all(colored) {
        return false;
    }
    let (before, after, inner) = right_joints(pair, context, columns);
    if around.ligature.is_none() {
        return before == Joint::None && after == Joint::None;
    }
    // Within a ligature of the left, all is bound as the left is.
    let (bound_before, bound_after) = match spot {
        Beside::Around(first, last) => (context.joints[first].0, context.joints[last].1),
        Beside::After(item) => (Joint::Ligature, context.joints[item].1),
        Beside::Before(item) => (context.joints[item].0, Joint::Ligature),
    };
    let empty = rights(pair, columns.clone()).next().is_none();
    let (bound_before, bound_after) = if empty {
        let through = bound_before != Joint::None && bound_after != Joint::None;
        let joint = if through { Joint::Ligature } else { Joint::None };
        (joint, joint)
    } else {
        (bound_before, bound_after)
    };
    before == bound_before
        && after == bound_after
        && inner.iter().all(|one| *one == Joint::Ligature)
}

/// Whether all that the right side has in some columns can be typed in the left voice.
fn typable(pair: &Pair<'_>, context: &Context<'_>, columns: &Range<usize>) -> bool {
    rights(pair, columns.clone()).all(|there| match pair.right[there].what {
        What::Event { event, .. } => context.is_typable(event),
        _ => true,
    })
}

/// A stretch widened to whole ligatures and coloured passages of the left, and whole ligatures of the
/// right.
fn closed(pair: &Pair<'_>, context: &Context<'_>, columns: Range<usize>) -> Option<Variant> {
    let mut columns = columns;
    loop {
        let items: Vec<usize> = lefts(pair, columns.clone()).collect();
        let (first, last) = match (items.first(), items.last()) {
            (Some(first), Some(last)) => (*first, *last),
            // What is added in the midst of a group stands with what is beside it.
            _ if columns.start > 0 => {
                columns.start -= 1;
                continue;
            }
            _ if columns.end < pair.columns.len() => {
                columns.end += 1;
                continue;
            }
            _ => return None,
        };
        let (first, last) = context.closed(first, last)?;
        let before = columns.clone();
        let outside = |column: usize| {
            lefts(pair, column..column + 1)
                .next()
                .is_some_and(|item| (first..=last).contains(&item))
        };
        while columns.start > 0
            && lefts(pair, 0..columns.start).next_back().is_some_and(|item| item >= first)
        {
            columns.start -= 1;
        }
        while columns.end < pair.columns.len()
            && (columns.end..pair.columns.len())
                .find(|c| lefts(pair, *c..*c + 1).next().is_some())
                .is_some_and(outside)
        {
            columns.end += 1;
        }
        let (bound_before, bound_after, _) = right_joints(pair, context, &columns);
        if bound_before != Joint::None && columns.start > 0 {
            columns.start -= 1;
        }
        if bound_after != Joint::None && columns.end < pair.columns.len() {
            columns.end += 1;
        }
        if columns != before {
            continue;
        }
        let passage = pair.columns[columns.clone()]
            .iter()
            .any(|column| matches!(column, Column::Passage(..)));
        let around = &context.around[first];
        if passage || around.variant || context.depth_within(first, last) > 3 {
            return None;
        }
        if context.barred(first, last) || !typable(pair, context, &columns) {
            return None;
        }
        return Some(Variant { columns, place: Beside::Around(first, last), stretches: 0 });
    }
}

#[cfg(test)]
mod tests;
