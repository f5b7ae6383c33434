//! Why a file of another format could not be read or written.

use std::error;
use std::fmt;

use midly::num::u15;
use rudiments::Pitch;

use crate::{Fault, MusicXmlError, ReadError};

/// Why a file of another format could not be read or written.
#[derive(Debug)]
#[non_exhaustive]
pub enum Error {
    /// A file could not be read.
    Read(ReadError),
    /// An arrangement cannot be written as MusicXML.
    MusicXml(MusicXmlError),
    /// A score could not be compressed; the library that does it says why.
    Compress(Box<dyn error::Error + Send + Sync>),
    /// A score cannot be written as MIDI.
    Midi(MidiError),
}

impl Error {
    /// What is the matter with a file that could not be read.
    pub fn fault(&self) -> Option<&Fault> {
        match self {
            Error::Read(error) => Some(&error.fault),
            _ => None,
        }
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::Read(error) => error.fmt(f),
            Error::MusicXml(error) => error.fmt(f),
            Error::Compress(error) => write!(f, "the score could not be compressed: {error}"),
            Error::Midi(error) => error.fmt(f),
        }
    }
}

impl error::Error for Error {
    fn source(&self) -> Option<&(dyn error::Error + 'static)> {
        Some(match self {
            Error::Read(error) => error,
            Error::MusicXml(error) => error,
            Error::Compress(error) => error.as_ref(),
            Error::Midi(error) => error,
        })
    }
}

impl From<ReadError> for Error {
    fn from(error: ReadError) -> Error {
        Error::Read(error)
    }
}

impl From<MusicXmlError> for Error {
    fn from(error: MusicXmlError) -> Error {
        Error::MusicXml(error)
    }
}

impl From<MidiError> for Error {
    fn from(error: MidiError) -> Error {
        Error::Midi(error)
    }
}

/// Why a score cannot be written as MIDI.
#[derive(Clone, PartialEq, Eq, Debug)]
#[non_exhaustive]
pub enum MidiError {
    /// The lengths of the score have no common denominator that is small enough.
    TooFine,
    /// It is too long, or a silence in it.
    TooLong,
    /// Voices, and notes that a voice strikes together, are more than there are channels to be bent.
    TooManyBends,
    /// A pitch has no key.
    NoKey {
        /// The voice.
        voice: String,
        /// The number of the bar, from 1.
        bar: u32,
        /// The pitch, transposed.
        pitch: Pitch,
    },
}

impl fmt::Display for MidiError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            MidiError::TooFine => write!(
                f,
                "a MIDI file divides the quarter into at most {} ticks, and the lengths of this \
                 piece need more to be exact",
                u15::max_value()
            ),
            MidiError::TooLong => f.write_str("the piece is too long for a MIDI file"),
            MidiError::TooManyBends => f.write_str(
                "a MIDI file has 15 channels that can be bent, and this piece needs more: choose fewer \
                 voices, or let a table tune the keys",
            ),
            MidiError::NoKey { voice, bar, pitch } => write!(
                f,
                "{pitch} in {voice}, bar {bar}, is beyond the 128 keys of MIDI: look whether the octave, \
                 the clef and the transposition are right"
            ),
        }
    }
}

impl error::Error for MidiError {}
