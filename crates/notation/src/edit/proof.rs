//! Whether a changed text reads as it is meant.

use std::collections::HashMap;

use super::plan::{Planned, keep};
use crate::{Code, Event, Head, Item, ItemKind, Parsed, Piece, Voice, examples};

/// What is read of a changed text, if that is the piece with a voice as it was planned: all other
/// voices as they were, what a head names as that says, and no new error.
pub(super) fn read(
    text: &str,
    before: &Parsed,
    head: &Head,
    voice: usize,
    planned: &[Planned],
) -> Option<Parsed> {
    // Of several examples of the text, only this one.
    let is_this = |one: &Parsed| one.name() == before.name();
    let after = examples(text).examples.into_iter().find(is_this)?;
    let (voices, old) = (&after.piece.voices, &before.piece.voices);
    let others = voices.iter().zip(old).enumerate().all(|(place, (one, other))| {
        opening(one) == opening(other) && (place == voice || is_kept(&one.items, &other.items))
    });
    let reads = voices.len() == old.len()
        && named(&after.piece.head) == named(head)
        && others
        && no_new_errors(&errors(before), &errors(&after))
        && are_same(&voices.get(voice)?.items, planned);
    reads.then_some(after)
}

/// The notes and rests that a head names.
fn named(head: &Head) -> Vec<(usize, u32, u32)> {
    let subjects = head.subjects.iter().map(|one| (one.voice, one.first, one.last));
    let marks = head.marks.iter().map(|one| (one.voice, one.first, one.last));
    let hands = head.hands.iter().map(|one| (one.voice, one.first, one.last));
    subjects.chain(marks).chain(hands).collect()
}

/// What of the voices is no item.
fn opening(voice: &Voice) -> impl PartialEq + use<> {
    let Voice { name, clef, signature, sign, positions, canon, .. } = voice;
    (name.clone(), *clef, *signature, *sign, *positions, *canon)
}

fn is_kept(one: &[Item], other: &[Item]) -> bool {
    are_same(one, &keep(other, 0..other.len()).collect::<Vec<Planned>>())
}

/// Whether items are what was planned, but for what their places in the text say, and for spelling.
fn are_same(items: &[Item], planned: &[Planned]) -> bool {
    let mut ligatures: HashMap<u32, u32> = HashMap::new();
    items.len() == planned.len()
        && items.iter().zip(planned).all(|(item, planned)| {
            let same = match (&item.kind, &planned.kind) {
                (ItemKind::Event(here), ItemKind::Event(there)) => {
                    let mut there =
                        Event { index: here.index, completing: here.completing, ..there.clone() };
                    if planned.from.item().is_none() {
                        // It stands in the groups that are there.
                        (there.colored, there.ligature) = (here.colored, here.ligature);
                    } else if let (Some(here), Some(number)) = (here.ligature, &mut there.ligature)
                    {
                        // Ligatures may be counted otherwise, but are the same.
                        *number = *ligatures.entry(*number).or_insert(here);
                    }
                    *here == there
                }
                (here, there) => here == there,
            };
            same && item.standing == planned.standing
        })
}

fn errors(parsed: &Parsed) -> HashMap<Code, usize> {
    let mut errors = HashMap::new();
    for found in parsed.diagnostics.iter().filter(|found| found.is_error()) {
        *errors.entry(found.code).or_insert(0) += 1;
    }
    errors
}

fn no_new_errors(before: &HashMap<Code, usize>, after: &HashMap<Code, usize>) -> bool {
    after.iter().all(|(code, count)| before.get(code).is_some_and(|known| count <= known))
}

/// The piece that was read with its dots as they are meant: a note still completes the one before it
/// if that still has a dot.
pub(super) fn meant(read: &Parsed, before: &Piece, voice: usize, planned: &[Planned]) -> Piece {
    let mut meant = read.piece.clone();
    let old = &before.voices[voice].items;
    let mut dotted = false;
    for (item, planned) in meant.voices[voice].items.iter_mut().zip(planned) {
        let ItemKind::Event(event) = &mut item.kind else { continue };
        if !item.standing.is_read() {
            continue;
        }
        let old = planned.from.item().and_then(|item| old[item].event());
        if let Some(old) = old.filter(|old| old.value == event.value) {
            event.completing = old.completing && dotted;
        }
        dotted = event.dot.is_some();
    }
    meant
}
