//! Ends of lines and pages, and bar lines.

use notation::ItemKind;
use roxmltree::Node;

use super::Walk;
use crate::mei::voice::Item;

impl<'a, 'i> Walk<'a, 'i, '_> {
    /// The end of a line or page. Breaks are marked where a line begins, so the first ends nothing.
    pub(super) fn line_end(&mut self, end: ItemKind) {
        match self.voice.items.last_mut() {
            _ if self.last_event.is_none() => {}
            Some(Item::Other(last @ (ItemKind::LineEnd | ItemKind::PageEnd))) => {
                if end == ItemKind::PageEnd {
                    *last = end;
                }
            }
            _ => self.voice.add(end),
        }
    }

    /// A measure is a printed line where no `<sb>` says otherwise; but a double bar stands in
    /// mid-line, and a plain bar line would make it a bar.
    pub(super) fn end_of_measure(&mut self, node: Node<'a, 'i>) {
        match node.attribute("right") {
            None | Some("invis") if self.has_line_ends => {}
            None | Some("invis") => self.line_end(ItemKind::LineEnd),
            Some(form) => self.bar(node, form),
        }
    }

    pub(super) fn bar_line(&mut self, node: Node<'a, 'i>) {
        self.remarks.attributes(node, &["form"]);
        self.bar(node, node.attribute("form").unwrap_or("single"));
    }

    pub(super) fn bar(&mut self, node: Node<'a, 'i>, form: &str) {
        let end = match form {
            "dbl" | "end" => ItemKind::SectionEnd,
            "rptend" => ItemKind::Repeat,
            "invis" => return,
            _ => {
                return self
                    .remarks
                    .about(node, "a bar line that is neither double nor a repeat is not kept");
            }
        };
        let is_same = |last: &Item| matches!(last, Item::Other(kind) if *kind == end);
        if self.last_event.is_some() && !self.voice.items.last().is_some_and(is_same) {
            self.voice.add(end);
        }
    }
}
