//! Reads a modern score into the text of a parts file.
//!
//! What sounds is read, and when: parts and the voices on their staves, notes joined by ties,
//! rests, exact lengths also where durations are rounded; with that clefs, signatures, double bars
//! and repeats, coronas, the editor's accidentals, words over the staff, as marks those that begin a
//! bracket, and where systems and pages begin if the file says that this is meant. Whatever else stands in the file is named in a remark, once for each kind.
//!
//! The parts of a file are found ([`survey`]) and walked through one after the other ([`walk`])
//! into a flat list of what is in them ([`part`]); the measures of all parts are laid on one line
//! of time ([`grid`]); notes are sorted into voices ([`voices`]), and these are a piece
//! ([`piece`]).

mod breaks;
mod exact;
mod grid;
mod heading;
mod part;
mod piece;
mod pitch;
mod survey;
mod voices;
mod walk;

use notation::{LARGEST_TEXT, print};
use rudiments::{Quarters, Time};

use crate::reading::{EXPLICIT, Remarks};
use crate::{Error, Fault, Reading, mxl, xml};
use grid::{Grid, Measures};
use heading::Heading;
use survey::Survey;

/// Which modern note stands for a minim.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Minim {
    /// The half note: original values.
    #[default]
    Half,
    /// The quarter: halved values.
    Quarter,
    /// The eighth: quartered values.
    Eighth,
}

impl Minim {
    /// A length in quarters as one in minims.
    fn minims(self, length: Quarters) -> Time {
        length.minims(match self {
            Minim::Half => Quarters::whole(2),
            Minim::Quarter => Quarters::whole(1),
            Minim::Eighth => Quarters::new(1, 2),
        })
    }

    /// As a file may say it; see [`read_musicxml`].
    fn parse(text: &str) -> Option<Minim> {
        match text {
            "half" => Some(Minim::Half),
            "quarter" => Some(Minim::Quarter),
            "eighth" => Some(Minim::Eighth),
            _ => None,
        }
    }
}

/// Reads a score, plain or compressed, into the text of a parts file; it is correct, but not in
/// canonical form.
///
/// `name` is that of the file, for messages. Where `minim` is not given, the file may say which
/// note stands for a minim, in a `miscellaneous-field` of the name `minim` as `half`, `quarter` or
/// `eighth`; otherwise it is the half note.
///
/// - `<pitch>` is what sounds. A transposition that only repeats the octave of the clef is not
///   applied again; any other is.
/// - The exact length of a note in a tuplet follows from its type, dots and time modification,
///   where its duration is that length rounded to whole divisions.
/// - An accidental mark over a note is the editor's and holds for that note, also where the file
///   forgets to alter the pitch.
/// - Systems and pages begin where the file says so, if it also says, by `supports`, that it says so of
///   all of them: other files have there what once fitted on some paper.
/// - A double bar or repeat stands in all voices; one across which a note is held is not kept.
///
/// # Errors
/// If the file is not MusicXML, is damaged, has no notes, has a note without pitch or length, has
/// more voices or more music than a parts file holds, or numbers beyond all reason.
pub fn read_musicxml(name: &str, bytes: &[u8], minim: Option<Minim>) -> Result<Reading, Error> {
    let text = mxl::text(name, bytes)?;
    let document = xml::parse_typed(name, &text)?;
    let mut remarks = Remarks::new(name, &text);
    let survey = Survey::of(&document, &mut remarks)?;
    let (heading, said) = Heading::of(survey.score, &mut remarks);
    let minim = minim.or(said).unwrap_or_default();

    let mut measures = Measures::default();
    let mut exact = exact::Exact::default();
    let mut parts = Vec::with_capacity(survey.parts.len());
    for part in survey.parts {
        parts.push(walk::part(part, minim, &mut exact, &mut measures, &mut remarks)?);
    }
    if parts.iter().all(|part| part.events.iter().all(|event| event.heads.is_empty())) {
        return Err(remarks.fault(survey.score, Fault::NoMusic).into());
    }
    let grid = Grid::of(&measures).ok_or_else(|| remarks.fault(survey.score, Fault::TooLong))?;
    let broken = breaks::times(survey.score, &parts, &grid);
    let voices = voices::of_parts(parts, &heading.voices, &grid, &mut remarks)?;
    let mut piece = piece::of(&heading, &voices, &grid, &mut remarks)?;
    piece.head.breaks = breaks::of_bars(&piece, &broken, &mut remarks);
    let text = print(&piece, EXPLICIT);
    if text.len() > LARGEST_TEXT {
        return Err(remarks.error(0, Fault::TooMuchMusic).into());
    }
    Ok(Reading { text, remarks: remarks.into_list() })
}

/// Whether the bytes of a file are a MusicXML score, whatever its name: compressed, or with the name of
/// the outermost element near its beginning.
pub fn is_musicxml(bytes: &[u8]) -> bool {
    const ROOTS: [&[u8]; 2] = [b"<score-partwise", b"<score-timewise"];
    let beginning = &bytes[..bytes.len().min(4096)];
    let has = |root: &[u8]| beginning.windows(root.len()).any(|found| found == root);
    bytes.starts_with(b"PK\x03\x04") || ROOTS.into_iter().any(has)
}

#[cfg(test)]
mod tests;
