//! Signs that stand apart from the event to which they belong.

use notation::ItemKind;
use roxmltree::Node;

use super::{Mark, Walk};
use crate::mei::elements::{name, text};
use crate::mei::survey;
use crate::mei::voice::Item;

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
        let mark = match name(node) {
            "fermata" => Mark::Corona,
            _ if is_signum(node) => Mark::Signum,
            "dir" => match text(node) {
                // Words in quotes cannot have the same quotes in them.
                Some(words) => Mark::Words(words.replace('"', "\u{201d}")),
                None => return,
            },
            _ => return self.remarks.element(node),
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
                (Mark::Corona, Item::Event(event)) => event.printed.corona = true,
                (Mark::Signum, Item::Event(event)) => event.printed.signum = true,
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

/// Whether a sign is a signum congruentiae: its type, its label, its text or its glyph (`SMuFL`'s
/// `mensuralSignumUp` and `mensuralSignumDown`, from memory) says so.
fn is_signum(node: Node<'_, '_>) -> bool {
    let names = ["type", "label", "glyph.name"].map(|name| node.attribute(name).map(str::to_owned));
    let says_so = |name: String| name.to_lowercase().contains("signum");
    names.into_iter().flatten().chain(text(node)).any(says_so)
}
