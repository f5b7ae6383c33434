//! Why a file of another format could not be read or written.

use std::error;
use std::fmt;

use crate::{Fault, MidiError, MusicXmlError, ReadError};

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
