//! Signs that stand apart from the event to which they belong.

use notation::ItemKind;
use roxmltree::Node;

use super::{Mark, Walk};
use crate::mei::elements::{name, text};
use crate::mei::voice::Item;
use crate::mei::{note_signs, survey};

impl<'a, 'i> Walk<'a, 'i, '_> {
    pub(super) fn mark(&mut self, node: Node<'a, 'i>) {
        self.remarks.attributes(
            node,
            &[
                "startid",
                "tstamp",
                "place",
                "type",
                "label",
                "glyph.name",
                "glyph.num",
                "glyph.auth",
            ],
        );
        let said = note_signs::said_by(node).map(|(sign, _)| sign);
        let mark = match said.or_else(|| note_signs::called(node)) {
            Some(sign) => Mark::Sign(sign),
            None if name(node) == "dir" => match text(node) {
                // Words in quotes cannot have the same quotes in them.
                Some(words) => Mark::Words(words.replace('"', "\u{201d}")),
                None => return,
            },
            None => return self.remarks.element(node),
        };
        let in_line =
            node.parent().is_some_and(|parent| !matches!(name(parent), "measure" | "section"));
        match (survey::target(node), mark) {
            (Some(target), mark) => self.marks.push((target, mark, node)),
            (None, Mark::Words(words)) if in_line => self.voice.add(ItemKind::Words(words)),
            (None, _) => self.remarks.about(node, "a sign or words that name no note are not kept"),
        }
    }

    /// Sets the signs to the events to which they refer.
    pub(super) fn set_marks(&mut self) {
        let mut words: Vec<(usize, String)> = Vec::new();
        for (target, mark, node) in std::mem::take(&mut self.marks) {
            let Some(place) = self.places.get(target).copied() else {
                self.remarks.about(node, "a sign or words that name no note are not kept");
                continue;
            };
            match (mark, &mut self.voice.items[place]) {
                (Mark::Sign(sign), Item::Event(event)) => event.printed.signs.extend([sign]),
                (Mark::Words(text), _) => words.push((place, text)),
                _ => {}
            }
        }
        if words.is_empty() {
            return;
        }
        words.sort_by_key(|(place, _)| *place);
        let mut words = words.into_iter().peekable();
        let items = std::mem::take(&mut self.voice.items);
        for (place, item) in items.into_iter().enumerate() {
            while let Some((_, text)) = words.next_if(|(before, _)| *before == place) {
                self.voice.add(ItemKind::Words(text));
            }
            self.voice.items.push(item);
        }
    }
}
