//! The word of one event.

use std::fmt::Write as _;

use rudiments::{Accidental, Clef};

use crate::{Dot, Event, Note, Sound};

/// An event as it can be typed by itself, its value aside: every note with its octave, `F#4.`; or, for
/// a voice typed in positions, its place on the staff under the clef in force there.
pub fn word(event: &Event, positions: Option<Clef>) -> String {
    let place = |note: &Note| match positions {
        Some(clef) => format!("{}{}", clef.place_of(note.tone), signs(*note)),
        None => format!("{}{}{}", note.tone.step, signs(*note), note.tone.octave),
    };
    let body = match &event.sound {
        Sound::Rest { spaces: Some(spaces) } => format!("_{spaces}"),
        Sound::Rest { spaces: None } => "_".to_owned(),
        Sound::Notes(notes) => notes.iter().map(place).collect::<Vec<String>>().join("+"),
    };
    body + &marks(event)
}

/// The signs of a note, the editor's in brackets.
pub(super) fn signs(note: Note) -> String {
    let mut signs = String::new();
    signs.extend(note.printed.map(Accidental::letter));
    if let Some(editorial) = note.editorial {
        let _ = write!(signs, "[{}]", editorial.letter());
    }
    signs
}

/// What stands after the notes or the rest.
pub(super) fn marks(event: &Event) -> String {
    let mut marks = String::new();
    marks.push_str(match event.dot {
        Some(Dot::Plain) => ".",
        Some(Dot::Adds) => ".+",
        Some(Dot::Divides) => ".:",
        None => "",
    });
    let _ = write!(marks, "{}", event.signs);
    if let Some(length) = event.length {
        let _ = write!(marks, "={length}");
    }
    marks
}
