//! What a part file holds: one voice, as a flat list of what is printed.

use notation::{Dot, Group, NoteSigns};
use rudiments::{Accidental, Clef, Proportion, Sign, Signature, Time, Tone, Value};

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

/// One thing in a voice. Coloration is marked on the events; its groups are made when the text is
/// written.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Item {
    Event(Event),
    Clef(Clef),
    Signature(Signature),
    Sign(Sign),
    /// So many of any value in the time of so many.
    Ratio(Proportion),
    /// That a value is perfect from here on, or imperfect.
    Perfection {
        value: Value,
        perfect: bool,
    },
    LineEnd,
    PageEnd,
    SectionEnd,
    Repeat,
    Direct(Tone),
    Words(String),
    Open(Group),
    Divide,
    Close(Group),
}

/// A note, several at once, or a rest.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Event {
    /// Where its element begins in the file, in bytes.
    pub(super) at: usize,
    pub(super) value: Value,
    pub(super) sound: Sound,
    pub(super) dot: Option<Dot>,
    /// Whether the dot was also found as an element of its own.
    pub(super) dot_seen: bool,
    pub(super) signs: NoteSigns,
    pub(super) colored: bool,
    /// Whether the file says that the note is part of an oblique body.
    pub(super) oblique: bool,
    /// Whether it shares an oblique body with the event before it.
    pub(super) joined: bool,
    /// What the file says of its length.
    pub(super) said: Said,
    /// The editor's length, in minims.
    pub(super) length: Option<Time>,
}

/// What an event sounds like.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Sound {
    /// A rest, and over how many spaces it stands where that is to be said.
    Rest(Option<u8>),
    /// The heads of one note or several.
    Notes(Vec<Head>),
}

/// The head of a note with the signs before it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Head {
    pub(super) tone: Tone,
    pub(super) printed: Option<Accidental>,
    pub(super) editorial: Option<Accidental>,
}

impl Event {
    /// Takes in a dot that was found as an element, of that form (`aug` or `div`, MEI's
    /// `att.dot.log`). The attribute and the first element are one dot; false for a second element.
    pub(super) fn take_dot(&mut self, form: Option<&str>) -> bool {
        if self.dot_seen {
            return false;
        }
        self.dot_seen = true;
        self.dot = match form {
            Some("aug") => Some(Dot::Adds),
            Some("div") => Some(Dot::Divides),
            _ => self.dot.or(Some(Dot::Plain)),
        };
        true
    }
}

/// Whether a group is the editor's: neither coloration nor counting goes on across its brackets.
pub(super) fn is_of_the_editor(group: Group) -> bool {
    matches!(group, Group::Supplied | Group::Emendation | Group::Variant)
}
