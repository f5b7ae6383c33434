//! Where a piece ends.

use rudiments::{Pitch, Step};

use crate::texture::Texture;

/// The last note of the lowest voice.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Final {
    /// The place of its voice in [`score::Score::voices`].
    pub voice: usize,
    /// What sounds; by its step the piece has its final.
    pub pitch: Pitch,
}

/// The step on which a piece ends: that of its lowest last note.
pub(crate) fn final_step(texture: &Texture) -> Option<Step> {
    last_note(texture).map(|last| last.pitch.tone.step)
}

/// The lowest of the notes that sound at the end.
pub(crate) fn last_note(texture: &Texture) -> Option<Final> {
    let last = texture.lines.iter().filter_map(|line| {
        let note = line.notes.iter().rev().find(|note| note.pitch.is_some())?;
        Some((line.voice, note.end, note.pitch?))
    });
    let end = last.clone().map(|(_, end, _)| end).max()?;
    let (voice, _, height) = last
        .filter(|(_, ends, _)| *ends == end)
        .min_by_key(|(_, _, height)| (height.rung, height.semitones))?;
    Some(Final { voice, pitch: height.pitch() })
}

/// When the last sonority begins: the last moment at which a voice begins a note.
pub(crate) fn last_sonority(texture: &Texture) -> Option<i64> {
    let last = texture.lines.iter().filter_map(|line| {
        line.notes.iter().rev().find(|note| note.pitch.is_some()).map(|note| note.onset)
    });
    last.max()
}
