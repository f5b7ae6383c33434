//! What counting looks at in a note or rest.

use notation::{Dot, Event, Sound};
use rudiments::{Mensuration, Time, Value};

use super::written::Written;
use super::{dots, perfection};

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

/// How long notes and rests last that stand next to one another under a mensuration, in minims before
/// any proportion; one length for each shape. Black ones are imperfect.
///
/// What stands before the first or after the last is not known, so lengths near the ends may be others
/// than amid the whole voice. Lengths of notes that the editor has set must be below [`Time`]'s bounds,
/// as those of a reckoned piece are.
pub fn lengths(mensuration: Mensuration, shapes: &[NoteShape]) -> Vec<Time> {
    let mut written: Vec<Written> = shapes.iter().map(|shape| Written::new(*shape)).collect();
    dots::tell_apart(&mut written, mensuration);
    for event in &mut written {
        event.black = event.colored;
        event.count_alone(mensuration);
    }
    perfection::count(&mut written, mensuration);
    written.iter().map(|event| event.length).collect()
}
