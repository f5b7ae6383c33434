//! Why there is no file of a picture.

use std::error;
use std::fmt;

/// Why there is no file of a picture.
#[derive(Debug)]
#[non_exhaustive]
pub enum Error {
    /// A PNG file would have so many pixels across and down.
    TooLarge(u64, u64),
    /// The library that draws or writes it says why.
    Unwritten(Box<dyn error::Error + Send + Sync>),
}

impl Error {
    pub(crate) fn unwritten(why: impl Into<Box<dyn error::Error + Send + Sync>>) -> Error {
        Error::Unwritten(why.into())
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::TooLarge(across, down) => write!(f, "{across} by {down} pixels are too many"),
            Error::Unwritten(why) => write!(f, "the picture could not be written: {why}"),
        }
    }
}

impl error::Error for Error {
    fn source(&self) -> Option<&(dyn error::Error + 'static)> {
        match self {
            Error::TooLarge(..) => None,
            Error::Unwritten(why) => Some(why.as_ref()),
        }
    }
}
