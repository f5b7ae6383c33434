//! What may be changed in a voice, and in which manner.

use rudiments::{Accidental, Clef, Tone, Value};

use crate::{Dot, Event, Note, Sound};

/// A change at an event. All that is not named stays as it is: the dot where a tone is changed, the
/// marks of a note, and every other event.
#[derive(Clone, PartialEq, Debug)]
pub enum Change {
    /// Another value, with or without a dot.
    Value {
        /// The value.
        value: Value,
        /// Whether it is dotted.
        dotted: bool,
    },
    /// Other values for this event and the next that is read; their dots stay.
    Pair {
        /// The value of this event.
        first: Value,
        /// The value of the next.
        second: Value,
    },
    /// One value for so many events from this one on; their dots stay.
    Values {
        /// The value.
        value: Value,
        /// How many events that are read.
        events: u32,
    },
    /// So many events from this one on have values so many degrees smaller, or larger if that is
    /// negative, as under another value word; their dots stay, and so does what completes one.
    Degrees {
        /// Degrees: 1 makes a minim of a semibreve.
        smaller: i32,
        /// How many events that are read.
        events: u32,
    },
    /// Another tone; of several notes at once, of the first.
    Tone(Tone),
    /// Other tones for this event and the next that is read; of several notes at once, for the first.
    Tones {
        /// The tone of this event.
        first: Tone,
        /// The tone of the next.
        second: Tone,
    },
    /// So many events from this one on are so many steps higher, or lower; rests are counted too. Of
    /// several notes at once the first is moved.
    Steps {
        /// Steps, up positive.
        steps: i32,
        /// How many events that are read.
        events: u32,
    },
    /// Another printed sign, or none; of several notes at once, of the first.
    Sign(Option<Accidental>),
    /// Another of the editor's signs above the note, or none; of several notes at once, of the first.
    EditorialSign(Option<Accidental>),
    /// Events before this one.
    Insert(Vec<NewEvent>),
    /// The event is one too many.
    Delete,
    /// Another clef is printed before so many events from this one on. The notes keep their places on
    /// the staff, so their tones are others; after them the old clef is printed again.
    Clef {
        /// The clef.
        clef: Clef,
        /// How many events that are read.
        events: u32,
    },
}

/// In which manner a change is written.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Manner {
    /// In place of what was typed: a slip of the typist. The only manner for a change of clef.
    Retyped,
    /// Beside what is printed, which was seen to be wrong: `< printed | read >`.
    Emended,
    /// As the editor's addition, `[ ]`; for events that are inserted alone.
    Supplied,
    /// As a variant that is yet to be decided, `<? printed | other >`; what is read stays as it is.
    Variant,
}

/// A note or rest that is inserted.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct NewEvent {
    /// Its value.
    pub value: Value,
    /// Whether it is dotted.
    pub dotted: bool,
    /// Its note; nothing for a rest.
    pub note: Option<Note>,
}

impl NewEvent {
    /// A note without a sign.
    pub fn note(value: Value, tone: Tone) -> NewEvent {
        let note = Note { tone, printed: None, editorial: None };
        NewEvent { value, dotted: false, note: Some(note) }
    }

    /// A rest.
    pub fn rest(value: Value) -> NewEvent {
        NewEvent { value, dotted: false, note: None }
    }

    /// The same with a dot.
    #[must_use]
    pub fn dotted(self) -> NewEvent {
        NewEvent { dotted: true, ..self }
    }

    pub(super) fn event(self) -> Event {
        let sound = match self.note {
            Some(note) => Sound::Notes(vec![note]),
            None => Sound::Rest { spaces: None },
        };
        Event { dot: self.dotted.then_some(Dot::Plain), ..Event::new(self.value, sound) }
    }
}

impl Change {
    /// How many events that are read it changes, from the one at which it is made on.
    pub(super) fn events(&self) -> u32 {
        match self {
            Change::Pair { .. } | Change::Tones { .. } => 2,
            Change::Values { events, .. }
            | Change::Degrees { events, .. }
            | Change::Steps { events, .. }
            | Change::Clef { events, .. } => *events,
            _ => 1,
        }
    }

    /// One of the events that it changes, as it will be: the first, or one after it.
    pub(super) fn made(&self, event: &Event, is_first: bool) -> Event {
        let mut event = event.clone();
        let with_dot = |dot: Option<Dot>, dotted: bool| dotted.then(|| dot.unwrap_or(Dot::Plain));
        match self {
            Change::Value { value, dotted } => {
                (event.value, event.dot) = (*value, with_dot(event.dot, *dotted));
            }
            Change::Pair { first, second } => event.value = if is_first { *first } else { *second },
            Change::Values { value, .. } => event.value = *value,
            Change::Degrees { smaller, .. } => {
                event.value = event.value.degrees_smaller(*smaller).unwrap_or(event.value);
            }
            Change::Tone(tone) => with_first(&mut event, |note| note.tone = *tone),
            Change::Tones { first, second } => {
                let tone = if is_first { *first } else { *second };
                with_first(&mut event, |note| note.tone = tone);
            }
            Change::Steps { steps, .. } => {
                with_first(&mut event, |note| note.tone = note.tone.up(*steps));
            }
            Change::Sign(sign) => with_first(&mut event, |note| note.printed = *sign),
            Change::EditorialSign(sign) => with_first(&mut event, |note| note.editorial = *sign),
            Change::Insert(_) | Change::Delete | Change::Clef { .. } => {}
        }
        event
    }
}

fn with_first(event: &mut Event, change: impl FnOnce(&mut Note)) {
    if let Sound::Notes(notes) = &mut event.sound
        && let Some(first) = notes.first_mut()
    {
        change(first);
    }
}
