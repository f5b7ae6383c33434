//! What counting looks at in a note or rest.

use notation::{Dot, Event, Sound};
use rudiments::{Time, Value};

/// The shape of a note or rest, by which it is counted among its neighbours.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct NoteShape {
    /// The printed value.
    pub value: Value,
    /// Whether it is a rest.
    pub rest: bool,
    /// Over how many spaces a long rest stands.
    pub spaces: Option<u8>,
    /// Its dot.
    pub dot: Option<Dot>,
    /// Whether it completes the dotted note before it.
    pub completing: bool,
    /// Whether it is black.
    pub colored: bool,
    /// The editor's length, in minims.
    pub set: Option<Time>,
}

impl NoteShape {
    /// The shape of an event.
    pub fn of(event: &Event) -> NoteShape {
        let spaces = match event.sound {
            Sound::Rest { spaces } => spaces,
            Sound::Notes(_) => None,
        };
        NoteShape {
            value: event.value,
            rest: event.is_rest(),
            spaces,
            dot: event.dot,
            completing: event.completing,
            colored: event.colored,
            set: event.length,
        }
    }
}
