//! A texture of notes that stand in no text: what is invented, before it is written.

use rudiments::Signature;

use super::measure::Measure;
use super::note::{Facts, Height, Note, relate};
use super::{Line, SILENCE, Texture};
use crate::length::Length;

/// A voice as notes, in order of time and none over another.
#[derive(Clone, Debug)]
pub(crate) struct SungLine {
    /// The place of the voice, by which its events are told.
    pub(crate) voice: usize,
    /// Its notes.
    pub(crate) notes: Vec<SungNote>,
}

/// A note of it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SungNote {
    /// When it begins, in ticks.
    pub(crate) onset: i64,
    /// When it is over.
    pub(crate) end: i64,
    /// How high it is.
    pub(crate) height: Height,
    /// By which number it is told among those of its voice.
    pub(crate) event: u32,
}

impl Texture {
    /// Voices, top voice first, in one section, counted in one way.
    pub(crate) fn sung(measure: Measure, voices: Vec<SungLine>) -> Texture {
        let ends = voices.iter().filter_map(|voice| voice.notes.last()).map(|note| note.end);
        let bounds = vec![0, ends.max().unwrap_or(0)];
        let lines = voices.into_iter().map(|voice| line(measure, &voice)).collect();
        Texture { minim: measure.minim, lines, bounds }
    }
}

fn line(measure: Measure, sung: &SungLine) -> Line {
    let mut notes = Vec::with_capacity(sung.notes.len() + 8);
    let mut at = 0;
    for &SungNote { onset, end, height, event } in &sung.notes {
        if at < onset {
            notes.push(note(measure, [at, onset], None, 0));
        }
        notes.push(note(measure, [onset, end], Some(height), event));
        at = end;
    }
    relate(&mut notes);
    if let Some(last) = notes.last_mut() {
        last.facts.last = true;
    }
    Line { name: String::new(), place: sung.voice, voice: sung.voice, written: true, notes }
}

fn note(measure: Measure, [onset, end]: [i64; 2], pitch: Option<Height>, event: u32) -> Note {
    let length = end - onset;
    Note {
        onset,
        end,
        signature: Signature::NONE,
        length,
        pitch,
        come: None,
        leave: None,
        class: Length::of(length, measure.minim, pitch.is_none()),
        before: None,
        measure,
        shape: SILENCE,
        section: 0,
        item: event,
        event,
        facts: Facts { printed: pitch.is_some(), ..Facts::default() },
    }
}
