//! What stands on the other side of a variant.

use std::ops::Range;

use notation::{Beside, Group, Item, ItemKind};

use super::context::Context;
use crate::collate::Pair;
use crate::collate::alignment::Column;
use crate::collate::element::{Element, Joint, What};

/// What the right side of a variant has.
pub(super) fn other(
    pair: &Pair<'_>,
    context: &Context<'_>,
    columns: Range<usize>,
    place: Beside,
) -> Vec<ItemKind> {
    let items = &context.voice().items;
    let (first, end) = match place {
        Beside::Around(first, last) => (first, last + 1),
        Beside::After(item) | Beside::Before(item) => (item, item),
    };
    let around = context.around[first];
    let mut side = Side {
        in_color: around.coloration.is_some(),
        in_ligature: around.ligature.is_some(),
        colored: false,
        kinds: Vec::new(),
    };
    let mut item = first;
    for column in &pair.columns[columns] {
        if let Column::Both(here, _) | Column::Left(here) = column {
            let here = pair.left[*here].item;
            side.between(&items[item.min(here)..here]);
            item = here + 1;
        }
        if let Column::Both(_, there) | Column::Right(there) = column {
            side.element(&pair.right[*there]);
        }
    }
    side.between(&items[item.min(end)..end]);
    if side.colored {
        side.kinds.push(ItemKind::Close(Group::Coloration));
    }
    side.kinds
}

/// The right side of a variant.
struct Side {
    in_color: bool,
    in_ligature: bool,
    colored: bool,
    kinds: Vec<ItemKind>,
}

impl Side {
    /// The ends of lines, and readings of time, are on both sides.
    fn between(&mut self, items: &[Item]) {
        let on_both = |item: &&Item| {
            let kept = matches!(
                item.kind,
                ItemKind::LineEnd
                    | ItemKind::PageEnd
                    | ItemKind::Ratio(_)
                    | ItemKind::Perfection { .. }
            );
            kept && item.standing.is_printed()
        };
        self.kinds.extend(items.iter().filter(on_both).map(|item| item.kind.clone()));
    }

    fn element(&mut self, element: &Element<'_>) {
        let (event, before, after) = match &element.what {
            What::Event { event, before, after } => (event, *before, *after),
            What::Mark(kind) => return self.kinds.push((*kind).clone()),
            What::Sound { .. } => return,
        };
        if event.colored != self.colored && !self.in_color {
            let group = Group::Coloration;
            self.kinds.push(if event.colored {
                ItemKind::Open(group)
            } else {
                ItemKind::Close(group)
            });
            self.colored = event.colored;
        }
        let bound = !self.in_ligature;
        if bound && before == Joint::None && after != Joint::None {
            self.kinds.push(ItemKind::Open(Group::Ligature));
        }
        self.kinds.push(ItemKind::Event((*event).clone()));
        if bound && after == Joint::Oblique {
            self.kinds.push(ItemKind::Oblique);
        }
        if bound && before != Joint::None && after == Joint::None {
            self.kinds.push(ItemKind::Close(Group::Ligature));
        }
    }
}
