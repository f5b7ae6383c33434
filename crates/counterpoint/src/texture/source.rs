//! What the source says of the events of a voice, beside their sound.

use notation::{Event, ItemKind, NoteSign, Piece, Sound};
use rudiments::Signature;

use super::note::{Facts, Note};

/// An event that is read, with what surrounds it in the source.
#[derive(Clone, Copy)]
pub(super) struct ReadEvent<'p> {
    pub(super) event: &'p Event,
    pub(super) place: usize,
    pub(super) signature: Signature,
    pub(super) facts: Facts,
}

/// The events of a voice that are read, in order.
pub(super) fn read_events(piece: &Piece, place: usize) -> Vec<ReadEvent<'_>> {
    let voice = &piece.voices[place];
    let mut events: Vec<ReadEvent<'_>> = Vec::new();
    let mut signature = voice.signature;
    let mut pending = Facts { begins_line: true, ..Facts::default() };
    for (place, item) in voice.items.iter().enumerate() {
        if !item.standing.is_read() {
            continue;
        }
        match &item.kind {
            ItemKind::Event(event) => {
                // A direct announces the next note, over rests.
                let direct = if event.is_rest() { None } else { pending.direct.take() };
                let note = event.notes().first();
                let signed =
                    note.is_some_and(|note| note.printed.is_some() && note.editorial.is_none());
                let doubted = event.signs.has(NoteSign::Doubt);
                let facts = Facts { direct, signed, doubted, ..pending };
                pending.begins_line = false;
                events.push(ReadEvent { event, place, signature, facts });
            }
            ItemKind::Signature(changed) => signature = *changed,
            ItemKind::Direct(tone) => pending.direct = Some(tone.rung() as i16),
            ItemKind::LineEnd | ItemKind::PageEnd => pending.begins_line = true,
            ItemKind::BarLine => {
                if let Some(last) = events.last_mut() {
                    last.facts.bar_line = true;
                }
            }
            _ => {}
        }
    }
    events
}

impl ReadEvent<'_> {
    /// Whether it is a rest of so many spaces, whose length is not that of its value.
    pub(super) fn is_long_rest(&self) -> bool {
        matches!(self.event.sound, Sound::Rest { spaces: Some(_) })
    }
}

/// The line ends of a voice: the note before each, and when that is over.
pub(super) fn line_ends(piece: &Piece, place: usize, notes: &[Note]) -> Vec<(usize, i64)> {
    let mut ends = Vec::new();
    let mut next = 0;
    for (place, item) in piece.voices[place].items.iter().enumerate() {
        while notes.get(next).is_some_and(|note| (note.item as usize) < place) {
            next += 1;
        }
        if matches!(item.kind, ItemKind::LineEnd | ItemKind::PageEnd) && next > 0 {
            ends.push((next - 1, notes[next - 1].end));
        }
    }
    ends
}
