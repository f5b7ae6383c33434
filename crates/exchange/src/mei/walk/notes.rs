//! Notes, and what goes with them: dots, directs, ligatures.

use notation::{Group, ItemKind};
use roxmltree::Node;

use super::{Leaving, Task, Walk};
use crate::ReadError;
use crate::mei::elements::elements;
use crate::mei::event;
use crate::mei::voice::Item;

impl<'a, 'i> Walk<'a, 'i, '_> {
    pub(super) fn event(&mut self, node: Node<'a, 'i>) -> Result<(), ReadError> {
        let mut event = event::read(node, self.default_value, self.remarks)?;
        event.printed.signs.extend(self.around.iter());
        if node.has_attribute("lig") && !self.in_ligature {
            self.remarks.about(node, "a ligature that only its notes name (`lig`) is not kept");
        }
        let place = self.voice.items.len();
        if !self.targets.is_empty() {
            // A sign may refer to one of several notes at once.
            for node in node.descendants().filter(Node::is_element) {
                let id = node.attribute(("http://www.w3.org/XML/1998/namespace", "id"));
                if let Some(id) = id.and_then(|id| self.targets.get(id)) {
                    self.places.insert(id, place);
                }
            }
        }
        self.voice.items.push(Item::Event(event));
        self.last_event = Some(place);
        Ok(())
    }

    pub(super) fn dot(&mut self, node: Node<'a, 'i>) {
        self.remarks.attributes(node, &["form"]);
        let Some(place) = self.last_event else {
            return self.remarks.about(node, "a dot before the first note is not kept");
        };
        if self.edits.last().is_some_and(|edit| place < *edit) {
            self.remarks.about(node, event::EDITED_DOT);
        }
        if let Item::Event(event) = &mut self.voice.items[place] {
            event.printed.signs.extend(self.around.iter());
            if !event.take_dot(node.attribute("form")) {
                self.remarks.about(node, event::SECOND_DOT);
            }
        }
    }

    pub(super) fn direct(&mut self, node: Node<'a, 'i>) {
        self.remarks.attributes(node, &["pname", "oct", "target"]);
        for sign in elements(node) {
            self.remarks.element(sign);
        }
        match event::tone(node) {
            Some(tone) => self.voice.add(ItemKind::Direct(tone)),
            None => self.remarks.about(node, "a direct without step and octave is not kept"),
        }
    }

    pub(super) fn ligature(&mut self, node: Node<'a, 'i>) {
        self.remarks.attributes(node, &["form"]);
        if std::mem::replace(&mut self.in_ligature, true) {
            self.remarks.about(node, "a ligature within a ligature is read as part of it");
        } else {
            let start = self.voice.items.len();
            self.open.push(Task::Leave(Leaving::Ligature { node, start }));
            self.voice.add(ItemKind::Open(Group::Ligature));
        }
        self.push_elements(node);
    }

    /// Joins the notes of the ligature from `start` that share an oblique body: those that say so,
    /// two by two; or its two notes, if the ligature says so.
    pub(super) fn join_obliques(&mut self, node: Node<'a, 'i>, start: usize) {
        let items = &mut self.voice.items;
        let events: Vec<(usize, bool)> = (start..items.len())
            .filter_map(|place| match &items[place] {
                Item::Event(event) => Some((place, event.oblique)),
                Item::Other(_) => None,
            })
            .collect();
        let by_notes = events.iter().any(|(_, oblique)| *oblique);
        let by_form = !by_notes && node.attribute("form") == Some("obliqua");
        if by_form && events.len() > 2 {
            self.remarks.about(
                node,
                "which notes of a longer oblique ligature share the oblique body is not said; the \
                 first two are joined",
            );
        }
        let mut free = 0;
        for pair in 1..events.len() {
            let ((first, oblique), (second, also)) = (events[pair - 1], events[pair]);
            let joined = (oblique && also) || (by_form && pair == 1);
            if pair <= free || !joined {
                continue;
            }
            free = pair + 1;
            match &mut items[second] {
                Item::Event(event) if second == first + 1 => event.joined = true,
                _ => self
                    .remarks
                    .about(node, "an oblique body with something between its notes is not kept"),
            }
        }
    }
}
