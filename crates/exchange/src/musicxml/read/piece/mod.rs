//! Voices as a piece.

mod clefs;
mod marks;
mod music;
mod signs;
mod values;

use notation::{Head, Piece, Span, Text, longest_voice};
use rudiments::{Clef, Sign, Signature, Time};

use super::grid::Grid;
use super::heading::Heading;
use super::voices::{Voice, Voices};
use crate::ReadError;
use crate::reading::Remarks;
use marks::Marks;

/// The piece.
///
/// # Errors
/// If a length cannot be written, or if there is more than a parts file may hold.
pub(super) fn of(
    heading: &Heading,
    voices: &Voices,
    grid: &Grid,
    remarks: &mut Remarks,
) -> Result<Piece, ReadError> {
    let longest_voice = longest_voice(voices.voices.len());
    let mut limits = Limits { events: 0, longest_voice };
    let text = |words: &String| Text { text: words.clone(), span: Span::default() };
    let openings: Vec<Opening> = voices.voices.iter().map(Opening::of).collect();
    let mut marks = Marks::default();
    let mut written = Vec::with_capacity(voices.voices.len());
    for (place, (voice, opening)) in voices.voices.iter().zip(&openings).enumerate() {
        let clefs = clefs::fitting(voice);
        let (items, onsets) =
            music::items(&mut limits, voice, &clefs, opening, &voices.ends, grid, remarks)?;
        marks.add(place, voice, &onsets, remarks);
        written.push(notation::Voice {
            name: voice.name.clone(),
            span: Span::default(),
            clef: Some(clefs.first().map_or(clefs::USUAL, |(_, clef)| *clef)),
            signature: opening.signature,
            sign: opening.sign,
            positions: false,
            canon: None,
            items,
        });
    }
    let head = Head {
        title: heading.title.as_ref().map(text),
        composer: heading.composer.as_ref().map(text),
        source: heading.source.as_ref().map(text),
        editor: heading.editor.as_ref().map(text),
        notes: heading.notes.iter().map(text).collect(),
        marks: marks.list(),
        ..Head::of_voices(openings.iter().map(|opening| (opening.signature, opening.sign)))
    };
    Ok(Piece { head, voices: written, ..Piece::default() })
}

/// What a parts file may hold.
struct Limits {
    /// How many events there are.
    events: i64,
    /// How long each voice may be.
    longest_voice: Time,
}

/// What is in force at the beginning of a voice.
struct Opening {
    signature: Signature,
    sign: Option<Sign>,
}

impl Opening {
    fn of(voice: &Voice) -> Opening {
        Opening {
            signature: in_force(&voice.signatures, Time::ZERO).unwrap_or_default(),
            sign: in_force(&voice.signs, Time::ZERO),
        }
    }
}

/// What the last change up to a time has brought.
fn in_force<T: Copy>(changes: &[(Time, T)], at: Time) -> Option<T> {
    let after = changes.partition_point(|(time, _)| *time <= at);
    after.checked_sub(1).map(|place| changes[place].1)
}

/// The clefs of a voice in order of time.
type Clefs = [(Time, Clef)];
