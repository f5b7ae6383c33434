//! Notes as bare numbers.

use rudiments::{Pitch, Signature, Tone};
use score::NoteShape;

use super::measure::Measure;
use crate::asked::AskedSign;
use crate::length::Length;

/// A note or rest.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Note {
    /// When it begins, in ticks.
    pub(crate) onset: i64,
    /// When it is over; a final is held.
    pub(crate) end: i64,
    /// The signature in force.
    pub(crate) signature: Signature,
    /// How long it lasts by its value, whether it is held or not.
    pub(crate) length: i64,
    /// What sounds; nothing for a rest.
    pub(crate) pitch: Option<Height>,
    /// Steps from the note directly before; none after a rest.
    pub(crate) come: Option<i8>,
    /// Steps to the note directly after; none before a rest.
    pub(crate) leave: Option<i8>,
    /// The class of its length.
    pub(crate) class: Length,
    /// The class of the length of the event before.
    pub(crate) before: Option<Length>,
    /// How the passage in which it stands is counted.
    pub(crate) measure: Measure,
    /// Its shape, by which it is counted there.
    pub(crate) shape: NoteShape,
    /// The section in which it stands, from 0.
    pub(crate) section: u32,
    /// Its item in the piece's voice.
    pub(crate) item: u32,
    /// Its event in the score's voice.
    pub(crate) event: u32,
    /// What else is known of it.
    pub(crate) facts: Facts,
}

/// How high a note is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Height {
    /// Staff steps; see [`rudiments::Tone::rung`].
    pub(crate) rung: i16,
    /// Semitones; see [`rudiments::Pitch::key_number`].
    pub(crate) semitones: i16,
    /// Whether a sign alters it from what the signature makes of it.
    pub(crate) altered: bool,
}

/// What the source says about an event beside its sound.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(crate) struct Facts {
    /// The rung that a direct at the end of the line before announces.
    pub(crate) direct: Option<i16>,
    /// Whether it is the first of a line of the source.
    pub(crate) begins_line: bool,
    /// Where other voices have the line end that follows this event, in a stacked source.
    pub(crate) line_sum: Option<i64>,
    /// Whether a printed bar line follows.
    pub(crate) bar_line: bool,
    /// Whether it is the last of its section.
    pub(crate) last: bool,
    /// Whether it stands outside plain counting: a ratio, coloration, an editor's length.
    pub(crate) odd: bool,
    /// Whether the editor has set its length.
    pub(crate) set: bool,
    /// Whether the source has it, so that it may have been mistyped or misprinted.
    pub(crate) printed: bool,
    /// Whether it is several notes at once.
    pub(crate) several: bool,
    /// Whether a sign is printed before it, and no editor reads another.
    pub(crate) signed: bool,
    /// Whether it is marked as hard to make out.
    pub(crate) doubted: bool,
    /// Whether a value is typed before it, rather than in force from an event before. Known only
    /// where the text is at hand.
    pub(crate) value_typed: bool,
    /// The sign that singers would have added, had nobody printed one. Known only where slips are
    /// looked for.
    pub(crate) asked: Option<AskedSign>,
}

impl Height {
    /// A pitch under a signature.
    pub(crate) fn of(pitch: Pitch, signature: Signature) -> Height {
        Height {
            rung: pitch.tone.rung() as i16,
            semitones: pitch.key_number() as i16,
            altered: pitch.alteration != signature.alteration(pitch.tone.step),
        }
    }

    /// The tone.
    pub(crate) fn tone(self) -> Tone {
        Tone::on_rung(i32::from(self.rung))
    }

    /// The pitch.
    pub(crate) fn pitch(self) -> Pitch {
        let tone = self.tone();
        let plain = Pitch::new(tone, 0).key_number();
        Pitch::new(tone, (i32::from(self.semitones) - plain).clamp(-100, 100) as i8)
    }
}

/// Fills in how every note is come to and left.
pub(crate) fn relate(notes: &mut [Note]) {
    for place in 0..notes.len() {
        let before = place.checked_sub(1).map(|before| notes[before]);
        let after = notes.get(place + 1).copied();
        let note = &mut notes[place];
        relate_one(before.as_ref(), note, after.as_ref());
    }
}

/// Fills in how one note is come to and left.
pub(crate) fn relate_one(before: Option<&Note>, note: &mut Note, after: Option<&Note>) {
    let steps = |from: Option<Height>, to: Option<Height>| {
        Some((to?.rung - from?.rung).clamp(-100, 100) as i8)
    };
    note.come = before.and_then(|before| steps(before.pitch, note.pitch));
    note.leave = after.and_then(|after| steps(note.pitch, after.pitch));
    note.before = before.map(|before| before.class);
}
