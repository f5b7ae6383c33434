//! Why there is no sound.

use std::error;
use std::fmt;
use std::io;

/// The longest piece that is made to sound, in seconds. (A WAV file of more than about six hours cannot say
/// how long it is.)
pub const LONGEST: f64 = 3.0 * 3600.0;

/// Why a sound file could not be written.
#[derive(Debug)]
#[non_exhaustive]
pub enum Error {
    /// The piece is longer than [`LONGEST`].
    TooLong,
    /// It could not be written where it was to be.
    Write(io::Error),
    /// The library that encodes FLAC says why.
    Encode(String),
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::TooLong => write!(
                f,
                "a sound file is made of at most {} hours of music: choose some bars, or a faster tempo",
                LONGEST / 3600.0
            ),
            Error::Write(error) => error.fmt(f),
            Error::Encode(said) => write!(f, "the sound could not be encoded: {said}"),
        }
    }
}

impl error::Error for Error {
    fn source(&self) -> Option<&(dyn error::Error + 'static)> {
        match self {
            Error::Write(error) => Some(error),
            Error::TooLong | Error::Encode(_) => None,
        }
    }
}

impl From<io::Error> for Error {
    fn from(error: io::Error) -> Error {
        Error::Write(error)
    }
}
