//! Variants beside what a voice has.

use super::Edit;
use super::plan::{From, Place, Planned, keep};
use super::spell::spell;
use crate::{Group, ItemKind, Parsed, Standing};

/// A variant that is yet to be decided, `<? printed | other >`.
#[derive(Clone, PartialEq, Debug)]
pub struct Variant {
    /// What its first side holds.
    pub beside: Beside,
    /// What stands on its second side. Of events all counts but their numbers, coloration and
    /// ligature: groups are opened and closed among the others.
    pub other: Vec<ItemKind>,
}

/// Where a variant stands among the items of a voice.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Beside {
    /// Around the items from the first to the last.
    Around(usize, usize),
    /// After an item, with nothing on its first side.
    After(usize),
    /// Before an item, with nothing on its first side.
    Before(usize),
}

/// The edits that type variants, in the order of the voice, beside what it has; one that reaches into the
/// one before it, or out of the voice, is left out. Octaves are always said, and so is at the end the value that is in force
/// after the first side, so that either side can be kept by hand.
///
/// Whether what comes out is as meant, in a text with errors above all, is for the caller to see.
pub fn variants(text: &str, parsed: &Parsed, voice: usize, variants: &[Variant]) -> Vec<Edit> {
    let Some(items) = parsed.piece.voices.get(voice).map(|voice| &voice.items) else {
        return Vec::new();
    };
    let mut planned = Vec::with_capacity(items.len() + 8 * variants.len());
    let mut done = 0;
    for Variant { beside, other } in variants {
        let (first, end, before, after) = match *beside {
            Beside::Around(first, last) => {
                (first, last + 1, Place::Before(first), Place::After(last))
            }
            Beside::After(item) => (item + 1, item + 1, Place::After(item), Place::After(item)),
            Beside::Before(item) => (item, item, Place::Before(item), Place::Before(item)),
        };
        if first < done || after.item() < before.item() || after.item() >= items.len() {
            continue;
        }
        planned.extend(keep(items, done..first));
        let new = |kind: ItemKind, place: Place, standing: Standing| Planned {
            kind,
            standing,
            from: From::New(place, None),
        };
        planned.push(new(ItemKind::Open(Group::Variant), before, Standing::Printed));
        planned.extend(keep(items, first..end));
        planned.push(new(ItemKind::Divide, after, Standing::Alternative));
        let other = other.iter().map(|kind| new(kind.clone(), after, Standing::Alternative));
        planned.extend(other);
        planned.push(new(ItemKind::Close(Group::Variant), after, Standing::Printed));
        done = end;
    }
    planned.extend(keep(items, done..items.len()));
    spell(text, parsed, voice, &planned)
}
