//! Voices as the text of a parts file: explicit, with an octave at every note; not in canonical
//! form.

mod clefs;
mod marks;
mod music;
mod signs;
mod values;

use std::fmt::Write as _;

use notation::{LARGEST_TEXT, longest_voice};
use rudiments::{Clef, Sign, Signature, Time};

use super::grid::Grid;
use super::heading::Heading;
use super::voices::{Voice, Voices};
use crate::reading::Remarks;
use crate::{Fault, ReadError};
use marks::Marks;

/// The text of a piece.
///
/// # Errors
/// If a length cannot be written, or if there is more than a parts file may hold.
pub(super) fn text(
    heading: &Heading,
    voices: &Voices,
    grid: &Grid,
    remarks: &mut Remarks,
) -> Result<String, ReadError> {
    let longest_voice = longest_voice(voices.voices.len());
    let mut page = Page { text: String::new(), events: 0, longest_voice };
    let text = &mut page.text;
    let mut line = |keyword: &str, words: &str| {
        let _ = writeln!(text, "{keyword} {words}");
    };
    for (keyword, words) in
        [("title", &heading.title), ("source", &heading.source), ("editor", &heading.editor)]
    {
        if let Some(words) = words {
            line(keyword, words);
        }
    }
    for note in &heading.notes {
        line("note", note);
    }

    let openings: Vec<Opening> = voices.voices.iter().map(Opening::of).collect();
    // What all voices share is said once.
    let first = openings.first();
    let shared = |same: &dyn Fn(&Opening) -> bool| openings.iter().all(same);
    let signature = first
        .map(|first| first.signature)
        .filter(|signature| shared(&|opening| opening.signature == *signature))
        .unwrap_or(Signature::NONE);
    let sign = first
        .and_then(|first| first.sign)
        .filter(|sign| shared(&|opening| opening.sign == Some(*sign)));
    if signature != Signature::NONE {
        let _ = writeln!(text, "signature {signature}");
    }
    if let Some(sign) = sign {
        let _ = writeln!(text, "sign {sign}");
    }
    let head_end = page.text.len();
    let mut marks = Marks::default();
    for (voice, opening) in voices.voices.iter().zip(&openings) {
        let text = &mut page.text;
        if !text.is_empty() {
            text.push('\n');
        }
        let clefs = clefs::fitting(voice);
        let clef = clefs.first().map_or(clefs::USUAL, |(_, clef)| *clef);
        let _ = write!(text, "voice {} clef {clef}", voice.name);
        if opening.signature != signature {
            let _ = write!(text, " signature {}", opening.signature);
        }
        if let Some(own) = opening.sign.filter(|own| Some(*own) != sign) {
            let _ = write!(text, " sign {own}");
        }
        text.push('\n');
        let onsets = music::write(&mut page, voice, &clefs, opening, &voices.ends, grid, remarks)?;
        marks.add(voice, &onsets, remarks);
    }
    page.text.insert_str(head_end, marks.lines());
    if page.text.len() > LARGEST_TEXT {
        return Err(remarks.error(0, Fault::TooMuchMusic));
    }
    Ok(page.text)
}

/// What is written so far.
struct Page {
    text: String,
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
