//! What every reader of a foreign format gives back: the text of a parts file, remarks on what
//! could not be kept, or the reason why nothing could be read.

use std::borrow::Cow;
use std::collections::HashMap;
use std::fmt;

use notation::{Digits, LARGEST_TEXT, LineIndex, MOST_EVENTS, MOST_MINIMS, MOST_VOICES, Spelling};

/// The largest file that is read, in bytes. 400 000 notes with their words, written with
/// indentation, take about 320 bytes each (counted on the MEI part files of the SEILS dataset).
pub const LARGEST_FILE: usize = 160 << 20;

/// The longest note, rest or bar that is read, in minims: the longest that a parts file can name.
pub(crate) const LONGEST_EVENT: i64 = 9999;

/// The largest common denominator of all lengths in a file, in minims; what is finer is not
/// counted exactly by the program either.
pub(crate) const FINEST: i64 = 1_000_000;

/// How the piece that was read is written: with an octave at every note, so that no slip in one makes
/// another.
pub(crate) const EXPLICIT: Spelling = Spelling { letters: false, digits: Digits::Every };

/// A parts file made from files of another format.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Reading {
    /// The text of the parts file, with an octave at every note.
    pub text: String,
    /// What was not kept, by file and in the order of the first occurrence.
    pub remarks: Vec<Remark>,
}

/// Something in a file that the parts file does not have, or not in the same way.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Remark {
    /// The file, by the name under which it was given.
    pub file: String,
    /// The line of the first occurrence, from 1.
    pub line: u32,
    /// How often it occurs in that file.
    pub times: u32,
    /// What it is and what became of it.
    pub what: String,
}

impl fmt::Display for Remark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, line {}: {}", self.file, self.line, self.what)?;
        match self.times {
            0 | 1 => Ok(()),
            times => write!(f, " ({times} times; this is the first)"),
        }
    }
}

/// Why a file could not be read.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ReadError {
    /// The file, by the name under which it was given.
    pub file: String,
    /// The line, from 1, where the fault has one.
    pub line: Option<u32>,
    /// What is the matter.
    pub fault: Fault,
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if let Some(line) = self.line {
            write!(f, ", line {line}")?;
        }
        write!(f, ": {}", self.fault)
    }
}

impl std::error::Error for ReadError {}

/// What is the matter with a file that cannot be read.
#[derive(Clone, PartialEq, Eq, Debug)]
#[non_exhaustive]
pub enum Fault {
    /// No file was given at all.
    NoFiles,
    /// More voices than a parts file may have.
    TooManyVoices {
        /// How many.
        voices: usize,
    },
    /// The file is larger than [`LARGEST_FILE`].
    TooLarge,
    /// It has more elements, or more attributes in one element, than music needs.
    TooCrowded,
    /// It is not well-formed XML.
    NotXml {
        /// What the XML parser says.
        why: String,
    },
    /// It has a document type declaration.
    DocumentType,
    /// Its document type declaration has definitions of its own.
    OwnDefinitions,
    /// It is text in another encoding than UTF-8 or UTF-16.
    NotUnicode,
    /// It is a compressed file that cannot be opened.
    NotContainer {
        /// What is the matter with it.
        why: String,
    },
    /// Unpacked it would be larger than this.
    Swells {
        /// The limit, in MiB.
        limit: u64,
    },
    /// It is a compressed file that names a score outside itself.
    Outside {
        /// What it names.
        path: String,
    },
    /// It is XML, but of another kind.
    OtherFormat {
        /// The format that was expected.
        wanted: &'static str,
        /// The outermost element that was found.
        found: String,
    },
    /// It has no note and no rest.
    NoMusic,
    /// It has several pieces or movements, or several parts.
    SeveralPieces,
    /// It has several staves.
    SeveralStaves,
    /// It has several layers on a staff.
    SeveralLayers,
    /// It is not in mensural notation.
    NotMensural {
        /// What the file calls its notation.
        notation: String,
    },
    /// A note or rest has no value.
    NoValue,
    /// A note or rest has a value of modern notation.
    ModernValue {
        /// As the file has it.
        value: String,
    },
    /// A note or rest has a value of a name unknown.
    UnknownValue {
        /// As the file has it.
        value: String,
    },
    /// A note has no step or no octave, or none that exists.
    NoPitch,
    /// A note of MusicXML has no step or no octave, or none that a parts file has.
    NoSuchPitch,
    /// A number is missing, no number at all, or larger or finer than music needs.
    BadNumber {
        /// The element that it is the content of.
        element: &'static str,
        /// As the file has it.
        value: String,
    },
    /// A note or a bar lasts longer than anything may.
    TooLong,
    /// The lengths of the file have no common denominator that is small enough.
    TooFine,
    /// A length cannot be written in a parts file.
    Unwritable {
        /// In minims.
        minims: String,
    },
    /// There is more music than a parts file may hold.
    TooMuchMusic,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Fault::NoFiles => f.write_str("no file was given; name one file for each voice"),
            Fault::TooManyVoices { voices } => write!(
                f,
                "{voices} voices were given, and a parts file holds at most {MOST_VOICES}"
            ),
            Fault::TooLarge => write!(
                f,
                "the file is larger than {} MiB, more than any voice needs",
                LARGEST_FILE >> 20
            ),
            Fault::TooCrowded => f.write_str(
                "the file has more elements, or more attributes in one of them, than music needs; \
                 is it the right file?",
            ),
            Fault::NotXml { why } => write!(
                f,
                "the file is damaged, or not XML: {why}; write it anew from the program that made it"
            ),
            Fault::DocumentType => f.write_str(
                "the file begins with a document type declaration (<!DOCTYPE …>), which is not \
                 read for safety; delete it and read the file again",
            ),
            Fault::OwnDefinitions => f.write_str(
                "the document type declaration has definitions of its own (<!DOCTYPE … [ … ]>), \
                 which are not read for safety; delete what stands in the brackets",
            ),
            Fault::NotUnicode => f.write_str(
                "the file is text in neither UTF-8 nor UTF-16; save it as UTF-8 from the program \
                 that made it",
            ),
            Fault::NotContainer { why } => write!(
                f,
                "the compressed file cannot be opened: {why}; write it anew from the program that \
                 made it, or uncompressed"
            ),
            Fault::Swells { limit } => write!(
                f,
                "unpacked, this compressed file would be larger than {limit} MiB, more than music \
                 of its size becomes; is it the right file?"
            ),
            Fault::Outside { path } => write!(
                f,
                "the compressed file says that its score is `{path}`, outside itself, which is \
                 not read for safety"
            ),
            Fault::OtherFormat { wanted, found } => {
                write!(f, "this should be {wanted}, but its outermost element is <{found}>")
            }
            Fault::NoMusic => f.write_str("there is no note and no rest in the file"),
            Fault::SeveralPieces => f.write_str(
                "the file has more than one piece or part; put each voice of each piece in a file \
                 of its own",
            ),
            Fault::SeveralStaves => f.write_str(
                "the file has more than one staff; put each voice in a file of its own, and name \
                 the files from the top voice down",
            ),
            Fault::SeveralLayers => f.write_str(
                "there is more than one voice on this staff; put each voice in a file of its own",
            ),
            Fault::NotMensural { notation } => write!(
                f,
                "the notation of this staff is `{notation}`, not mensural; bring a modern score \
                 here as MusicXML"
            ),
            Fault::NoValue => f.write_str("this note or rest has no value; give it a `dur`"),
            Fault::ModernValue { value } => write!(
                f,
                "`{value}` is a modern value; a mensural part has maxima, longa, brevis, \
                 semibrevis, minima, semiminima, fusa, semifusa; bring a modern score here as \
                 MusicXML"
            ),
            Fault::UnknownValue { value } => write!(
                f,
                "`{value}` is not a value; the values are maxima, longa, brevis, semibrevis, minima, \
                 semiminima, fusa, semifusa"
            ),
            Fault::NoPitch => f.write_str(
                "this note has no step or no octave; give it a `pname` from a to g and an `oct` \
                 from 0 to 9",
            ),
            Fault::NoSuchPitch => f.write_str(
                "this note has no step or no octave; a step is one of A to G, and an octave is \
                 from 0 to 9, also when the transposition of the part is considered",
            ),
            Fault::BadNumber { element, value } if value.is_empty() => {
                write!(f, "the number in `{element}` is missing")
            }
            Fault::BadNumber { element, value } => write!(
                f,
                "`{value}` in `{element}` is not a number, or one that is larger or finer than music \
                 needs"
            ),
            Fault::TooLong => write!(
                f,
                "what stands here lasts longer than {LONGEST_EVENT} minims, or makes the piece \
                 longer than a parts file may be, which is {MOST_MINIMS} minims in all voices together"
            ),
            Fault::TooFine => write!(
                f,
                "the durations up to here have no common denominator below {FINEST}, so they \
                 cannot be counted exactly together"
            ),
            Fault::Unwritable { minims } => {
                write!(f, "this lasts {minims} minims, which cannot be written in a parts file")
            }
            Fault::TooMuchMusic => write!(
                f,
                "this is more music, or more silence, than a parts file may hold, which is {} MiB \
                 and {MOST_EVENTS} notes and rests",
                LARGEST_TEXT >> 20
            ),
        }
    }
}

/// So many kinds of things are told apart in one file; a file made in bad faith could have any
/// number, and nobody reads a longer list.
const MOST_KINDS: usize = 200;

/// The remarks on one file while it is read: each kind once, with a count.
pub(crate) struct Remarks {
    file: String,
    lines: LineIndex,
    list: Vec<Remark>,
    places: HashMap<Cow<'static, str>, usize>,
}

impl Remarks {
    /// No remarks yet on the file of that name and text.
    pub(crate) fn new(file: &str, text: &str) -> Remarks {
        Remarks {
            file: file.to_owned(),
            lines: LineIndex::new(text),
            list: Vec::new(),
            places: HashMap::new(),
        }
    }

    /// Adds a remark on what stands at that byte, or counts it if the same has been said already.
    pub(crate) fn add(&mut self, byte: usize, what: impl Into<Cow<'static, str>>) {
        let mut what = what.into();
        if self.list.len() >= MOST_KINDS && !self.places.contains_key(&what) {
            what = Cow::Borrowed("other things that are not understood are not kept");
        }
        if let Some(place) = self.places.get(&what) {
            let remark = &mut self.list[*place];
            remark.times = remark.times.saturating_add(1);
            return;
        }
        self.places.insert(what.clone(), self.list.len());
        self.list.push(Remark {
            file: self.file.clone(),
            line: self.lines.line(byte as u32),
            times: 1,
            what: what.into_owned(),
        });
    }

    /// The error that something is wrong at that byte.
    pub(crate) fn error(&self, byte: usize, fault: Fault) -> ReadError {
        ReadError { file: self.file.clone(), line: Some(self.lines.line(byte as u32)), fault }
    }

    /// All remarks, in the order of the first occurrence.
    pub(crate) fn into_list(mut self) -> Vec<Remark> {
        self.list.sort_by_key(|remark| remark.line);
        self.list
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_is_said_once_and_counted() {
        let text = "a\nb\nc\n";
        let mut remarks = Remarks::new("tenor", text);
        remarks.add(4, "a slur is not kept");
        remarks.add(2, "words are not kept");
        remarks.add(4, "words are not kept");
        let list: Vec<String> = remarks.into_list().iter().map(Remark::to_string).collect();
        assert_eq!(
            list,
            [
                "tenor, line 2: words are not kept (2 times; this is the first)",
                "tenor, line 3: a slur is not kept",
            ]
        );
    }

    #[test]
    fn the_list_of_remarks_ends() {
        let mut remarks = Remarks::new("tenor", "");
        for kind in 0..1000 {
            remarks.add(0, format!("{kind} is not kept"));
        }
        let list = remarks.into_list();
        assert_eq!(list.len(), MOST_KINDS + 1);
        assert_eq!(list[MOST_KINDS].times, 1000 - MOST_KINDS as u32);
    }
}
