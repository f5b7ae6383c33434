//! A piece as a list of slots for each voice, written down with every octave and every value said,
//! so that a slip in one place changes nothing else.

use std::fmt::Write as _;

use notation::{Dot, Event, Group, ItemKind, Piece, Sound};
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

/// The voices of a piece. Pieces of the open data have no emendations and nothing supplied.
///
/// # Panics
/// If this one has.
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
    Some(Slot::Other(match kind {
        ItemKind::Event(event) => return Some(Slot::Event(event.clone())),
        ItemKind::Clef(clef) => format!("clef {clef}"),
        ItemKind::Signature(signature) => format!("signature {signature}"),
        ItemKind::Sign(sign) => format!("sign {sign}"),
        ItemKind::Ratio(ratio) => format!("ratio {ratio}"),
        ItemKind::Perfection { value, perfect: true } => format!("perfect {value}"),
        ItemKind::Perfection { value, perfect: false } => format!("imperfect {value}"),
        ItemKind::LineEnd => "/".to_owned(),
        ItemKind::PageEnd => "//".to_owned(),
        ItemKind::Direct(tone) => format!("~{tone}"),
        ItemKind::BarLine => "|".to_owned(),
        ItemKind::SectionEnd => "||".to_owned(),
        ItemKind::Repeat => "::".to_owned(),
        ItemKind::Words(words) => format!("\"{words}\""),
        ItemKind::Oblique => "\\".to_owned(),
        ItemKind::Open(Group::Ligature) => "(".to_owned(),
        ItemKind::Close(Group::Ligature) => ")".to_owned(),
        ItemKind::Open(Group::Coloration) => "{".to_owned(),
        ItemKind::Close(Group::Coloration) => "}".to_owned(),
        ItemKind::More => return None,
        other => panic!("a slot for {other:?}"),
    }))
}

/// The parts file.
pub fn text_of_slots(voices: &[SlotVoice]) -> String {
    let mut text = String::new();
    for voice in voices {
        let _ = write!(text, "{}\n ", voice.opening);
        let mut value: Option<Value> = None;
        for slot in &voice.slots {
            match slot {
                Slot::Event(event) => {
                    if value != Some(event.value) {
                        let _ = write!(text, " {}", event.value);
                        value = Some(event.value);
                    }
                    let _ = write!(text, " {}", word(event));
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

fn word(event: &Event) -> String {
    let mut word = match &event.sound {
        Sound::Rest { spaces: None } => "_".to_owned(),
        Sound::Rest { spaces: Some(spaces) } => format!("_{spaces}"),
        Sound::Notes(notes) => {
            let heads = notes.iter().map(|note| {
                let printed = note.printed.map(|sign| sign.letter().to_string());
                let editorial = note.editorial.map(|sign| format!("[{}]", sign.letter()));
                format!(
                    "{}{}{}{}",
                    note.tone.step,
                    printed.unwrap_or_default(),
                    editorial.unwrap_or_default(),
                    note.tone.octave
                )
            });
            heads.collect::<Vec<_>>().join("+")
        }
    };
    word.push_str(match event.dot {
        None => "",
        Some(Dot::Plain) => ".",
        Some(Dot::Adds) => ".+",
        Some(Dot::Divides) => ".:",
    });
    let _ = write!(word, "{}", event.signs);
    if let Some(length) = event.length {
        let _ = write!(word, "={length}");
    }
    word
}
