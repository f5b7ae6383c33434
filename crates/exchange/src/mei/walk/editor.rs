//! What the editor of the file added, corrected or chose.

use notation::{Group, ItemKind};
use roxmltree::Node;

use super::{InForce, Leaving, Task, Walk};
use crate::mei::elements::{elements, name};

impl<'a, 'i> Walk<'a, 'i, '_> {
    pub(super) fn supplied(&mut self, node: Node<'a, 'i>) {
        if self.edited.printed_side {
            self.remarks.about(
                node,
                "what is supplied on the printed side of a correction is read as printed",
            );
        } else if !std::mem::replace(&mut self.edited.supplied, true) {
            self.open_edit(Group::Supplied);
            self.open.push(Task::Leave(Leaving::Supplied));
        }
        self.push_elements(node);
    }

    pub(super) fn open_edit(&mut self, group: Group) {
        self.edits.push(self.voice.items.len());
        self.voice.add(ItemKind::Open(group));
    }

    /// A choice between what is printed and a correction is an emendation; of any other, one side
    /// is read: what is printed, or the first.
    pub(super) fn choice(&mut self, node: Node<'a, 'i>) {
        let side = |wanted| elements(node).find(|child| name(*child) == wanted);
        if let (Some(printed), Some(read), false) =
            (side("sic"), side("corr"), self.edited.emendation)
        {
            for other in elements(node).filter(|child| *child != printed && *child != read) {
                self.remarks.element(other);
            }
            self.edited.emendation = true;
            self.edited.printed_side = true;
            self.open_edit(Group::Emendation);
            self.open.push(Task::Leave(Leaving::Emendation));
            self.push_elements(read);
            self.open.push(Task::Divide(self.now));
            self.push_elements(printed);
        } else {
            // Within a correction, what is read.
            let read = self.edited.emendation && !self.edited.printed_side;
            let chosen = if read { side("corr") } else { side("sic") };
            self.one_of(node, chosen.or_else(|| side("orig")));
        }
    }

    /// Variants of other sources: the reading that was chosen is read.
    pub(super) fn apparatus(&mut self, node: Node<'a, 'i>) {
        self.one_of(node, elements(node).find(|child| name(*child) == "lem"));
    }

    /// Reads one of the elements in an element: that one, or the first.
    pub(super) fn one_of(&mut self, node: Node<'a, 'i>, chosen: Option<Node<'a, 'i>>) {
        let chosen = chosen.or_else(|| elements(node).next());
        for other in elements(node).filter(|child| Some(*child) != chosen) {
            self.remarks.element(other);
        }
        if let Some(chosen) = chosen {
            self.push_elements(chosen);
        }
    }

    pub(super) fn divide(&mut self, before: InForce) {
        self.edited.printed_side = false;
        self.after_printed = Some(std::mem::replace(&mut self.now, before));
        self.voice.add(ItemKind::Divide);
    }
}
