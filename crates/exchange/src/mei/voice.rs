//! What a part file holds: one voice, as a flat list of what is printed.

use notation::{Dot, Group, ItemKind};
use rudiments::{Clef, Sign, Signature};

use super::said::Said;

/// A voice.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Voice {
    pub(super) name: String,
    /// What stands at its beginning.
    pub(super) clef: Option<Clef>,
    pub(super) signature: Signature,
    pub(super) sign: Option<Sign>,
    /// Readings of time at the beginning, before all items.
    pub(super) opening: Vec<Item>,
    pub(super) items: Vec<Item>,
}

impl Voice {
    /// Adds what stands between notes.
    pub(super) fn add(&mut self, kind: ItemKind) {
        self.items.push(Item::Other(kind));
    }
}

/// One thing in a voice. Coloration is marked on the events; its groups are made when all is read.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Item {
    /// A note, several at once, or a rest.
    Event(Event),
    /// What stands between them.
    Other(ItemKind),
}

/// A note, several at once, or a rest, and what only this file says of it.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Event {
    /// Where its element begins in the file, in bytes.
    pub(super) at: usize,
    /// What a parts file has of it.
    pub(super) printed: notation::Event,
    /// Whether the dot was also found as an element of its own.
    pub(super) dot_seen: bool,
    /// Whether the file says that the note is part of an oblique body.
    pub(super) oblique: bool,
    /// Whether it shares an oblique body with the event before it.
    pub(super) joined: bool,
    /// What the file says of its length.
    pub(super) said: Said,
}

impl Event {
    /// Takes in a dot that was found as an element, of that form (`aug` or `div`, MEI's
    /// `att.dot.log`). The attribute and the first element are one dot; false for a second element.
    pub(super) fn take_dot(&mut self, form: Option<&str>) -> bool {
        if self.dot_seen {
            return false;
        }
        self.dot_seen = true;
        self.printed.dot = match form {
            Some("aug") => Some(Dot::Adds),
            Some("div") => Some(Dot::Divides),
            _ => self.printed.dot.or(Some(Dot::Plain)),
        };
        true
    }
}

/// Whether a group is the editor's: neither coloration nor counting goes on across its brackets.
pub(super) fn is_of_the_editor(group: Group) -> bool {
    matches!(group, Group::Supplied | Group::Emendation | Group::Variant)
}
