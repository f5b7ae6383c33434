//! A piece as a list of slots for each voice, written down with every octave and every value said,
//! so that a slip in one place changes nothing else.

use std::fmt::Write as _;

use notation::{Event, ItemKind, Piece, word};
use rudiments::Value;

/// A voice: the line that opens it, and its slots.
#[derive(Clone, PartialEq, Debug)]
pub struct SlotVoice {
    /// `voice Cantus clef C1`
    pub opening: String,
    /// What follows.
    pub slots: Vec<Slot>,
}

/// One event, or something else that is printed.
#[derive(Clone, PartialEq, Debug)]
pub enum Slot {
    /// A note or rest; its value is written where it differs from the one before.
    Event(Event),
    /// Anything else, as it is written.
    Other(String),
}

impl SlotVoice {
    /// The same so many times, end to end.
    #[must_use]
    pub fn joined(&self, times: usize) -> SlotVoice {
        let slots = (0..times).flat_map(|_| self.slots.clone()).collect();
        SlotVoice { opening: self.opening.clone(), slots }
    }

    /// Its notes and rests.
    pub fn events(&self) -> Vec<&Event> {
        self.slots.iter().filter_map(Slot::event).collect()
    }
}

/// The voices of a piece. Pieces of the open data have no emendations and nothing supplied.
pub fn slots(piece: &Piece) -> Vec<SlotVoice> {
    piece
        .voices
        .iter()
        .map(|voice| {
            let mut opening = format!("voice {}", voice.name);
            if let Some(clef) = voice.clef {
                let _ = write!(opening, " clef {clef}");
            }
            let _ = write!(opening, " signature {}", voice.signature);
            if let Some(sign) = voice.sign {
                let _ = write!(opening, " sign {sign}");
            }
            let slots = voice.items.iter().filter_map(|item| slot(&item.kind)).collect();
            SlotVoice { opening, slots }
        })
        .collect()
}

fn slot(kind: &ItemKind) -> Option<Slot> {
    match kind {
        ItemKind::Event(event) => Some(Slot::Event(event.clone())),
        ItemKind::Direct(tone) => Some(Slot::Other(format!("~{tone}"))),
        ItemKind::More => None,
        other => Some(Slot::Other(other.typed())),
    }
}

/// What governs an event.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Typed {
    /// The value in force; that of a completing note is the next smaller.
    pub(super) value: Value,
    /// Whether it is typed before this event, or as a slot of its own between the last one and this.
    pub(super) is_governed_anew: bool,
    /// Whether it is still to be typed before this event.
    is_said: bool,
}

/// What governs each event: a value that differs from that of the event before is typed, but for that
/// of a note that completes a dotted one. A slot that is a value word is typed as it is.
pub(super) fn in_force(slots: &[Slot]) -> Vec<Typed> {
    let events: Vec<&Event> = slots.iter().filter_map(Slot::event).collect();
    let mut typed: Vec<Typed> = Vec::with_capacity(events.len());
    let (mut now, mut own) = (None, false);
    for slot in slots {
        let event = match slot {
            Slot::Event(event) => event,
            Slot::Other(other) => {
                if let Some(value) = Value::from_letters(other) {
                    (now, own) = (Some(value), true);
                }
                continue;
            }
        };
        let before = typed.len().checked_sub(1).map(|before| events[before]);
        let dotted = before.is_some_and(|before| before.dot.is_some() && Some(before.value) == now);
        let completes = dotted
            && !own
            && event.dot.is_none()
            && now.and_then(Value::smaller) == Some(event.value)
            && events.get(typed.len() + 1).is_some_and(|next| Some(next.value) == now);
        let is_said = now != Some(event.value) && !completes;
        if is_said {
            now = Some(event.value);
        }
        let value = now.unwrap_or(event.value);
        typed.push(Typed { value, is_said, is_governed_anew: is_said || std::mem::take(&mut own) });
    }
    typed
}

impl Slot {
    /// The event that it is.
    pub fn event(&self) -> Option<&Event> {
        match self {
            Slot::Event(event) => Some(event),
            Slot::Other(_) => None,
        }
    }
}

/// The parts file.
pub fn text_of_slots(voices: &[SlotVoice]) -> String {
    let mut text = String::new();
    for voice in voices {
        let _ = write!(text, "{}\n ", voice.opening);
        let in_force = in_force(&voice.slots);
        let mut events = in_force.iter();
        for slot in &voice.slots {
            match slot {
                Slot::Event(event) => {
                    let Some(typed) = events.next() else { continue };
                    if typed.is_said {
                        let _ = write!(text, " {}", typed.value);
                    }
                    let point = if event.value == typed.value { "" } else { "." };
                    let _ = write!(text, " {point}{}", word(event, None));
                }
                Slot::Other(other) if matches!(other.as_str(), "/" | "//") => {
                    let _ = write!(text, " {other}\n ");
                }
                Slot::Other(other) => {
                    let _ = write!(text, " {other}");
                }
            }
        }
        text.push('\n');
    }
    text
}
