//! Reads mensural part files in MEI (Music Encoding Initiative, <https://music-encoding.org>),
//! versions 3 to 5, one voice a file, into the text of one parts file.
//!
//! What is printed is read: clefs, signatures, signs, notes and rests with their dots, accidentals,
//! coloration and ligatures, line ends, directs, double bars; and the editor's marks. Whatever else
//! stands in a file is named in a remark, once for each kind. Several staves in one file, and modern
//! notation, are refused.
//!
//! What a file says of counting is written so that the parts file is counted the same:
//!
//! - a sign as it is printed; figures that no sign can have as a `ratio` (`<proport num="150"
//!   numbase="100">`: `ratio 3:2`);
//! - divisions (`tempus`, `prolatio`, `modusminor`, `modusmaior`) that the sign does not show, or
//!   that a figure 3 leaves open, as `perfect br`, `imperfect sb` and the like;
//! - `num` and `numbase` of notes in a row as a `ratio` before them and `ratio 1:1` after; of a
//!   single note, and `dur.quality` (perfect, imperfect, altered), as the editor's length (`=4`),
//!   but only where the rules do not come to the same by themselves ([`lengths`]);
//! - what looks like a semiminim beside coloured notes as the black minim that it is ([`black`]).
//!
//! A file is looked over ([`survey`]), walked through from end to end ([`walk`]) into a flat list
//! of what is printed ([`voice`]), in which black minims are found; all lists together are a piece
//! ([`piece`]).

mod black;
mod definition;
mod elements;
mod event;
mod heading;
mod lengths;
mod mensuration;
mod note_signs;
mod piece;
mod said;
mod survey;
mod voice;
mod walk;

use notation::{MOST_VOICES, part_book, print};

use crate::reading::{EXPLICIT, Remarks};
use crate::{Error, Fault, ReadError, Reading, names, xml};
use heading::Heading;
use survey::Survey;

/// The text of an MEI file that holds one voice.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct MeiPart<'a> {
    /// The name of its file without folder and extension, for messages. If the file does not say what
    /// the voice is called, but its name says of which part-book it is (`cantus`), so is the voice.
    pub name: &'a str,
    /// What it contains.
    pub text: &'a str,
}

/// Reads voices, the top voice first, into the text of a parts file; it is correct, but not in
/// canonical form.
///
/// # Errors
/// If a file is not MEI, does not hold just one voice in mensural notation, has a note without
/// value or pitch, or is larger than [`crate::LARGEST_FILE`]; if there is no file, or more than a
/// parts file has voices.
pub fn read_mei(parts: &[MeiPart<'_>]) -> Result<Reading, Error> {
    let error = |part: &MeiPart, fault| {
        Error::Read(ReadError { file: part.name.to_owned(), line: None, fault })
    };
    let Some(first) = parts.first() else {
        return Err(error(&MeiPart { name: "MEI", text: "" }, Fault::NoFiles));
    };
    if parts.len() > MOST_VOICES {
        return Err(error(first, Fault::TooManyVoices { voices: parts.len() }));
    }
    let mut heading = Heading::default();
    let mut voices = Vec::new();
    let mut names = Vec::new();
    let mut remarks_of_all = Vec::new();
    for part in parts {
        let document = xml::parse(part.name, part.text)?;
        let mut remarks = Remarks::new(part.name, part.text);
        let survey = Survey::of(&document, &mut remarks)?;
        heading.take(survey.mei, &mut remarks);
        let named = survey.label.clone();
        let named = named.or_else(|| part_book(part.name).map(str::to_owned));
        let named = named.unwrap_or_else(|| names::by_place(names.len(), parts.len()));
        let name = names::voice_name(&named, &names);
        names.push(name.clone());
        let mut voice = walk::voice(name, survey, &mut remarks)?;
        black::read(&mut voice, &mut remarks);
        lengths::ratios(&mut voice);
        voices.push(voice);
        remarks_of_all.push(remarks);
    }
    let piece = lengths::piece(&heading, &mut voices, &mut remarks_of_all);
    let text = print(&piece, EXPLICIT);
    Ok(Reading { text, remarks: remarks_of_all.into_iter().flat_map(Remarks::into_list).collect() })
}

#[cfg(test)]
mod tests;
