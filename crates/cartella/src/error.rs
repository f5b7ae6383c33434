//! Why something could not be read or written.

use std::error;
use std::fmt;

use notation::{Diagnostic, Span};

/// Why something could not be read or written.
///
/// ```
/// use std::error::Error as _;
///
/// let error = cartella::Document::read_musicxml("duo", b"no XML", None).unwrap_err();
/// assert!(error.to_string().starts_with("duo"), "{error}");
/// assert!(error.source().is_some());
/// ```
#[derive(Debug)]
#[non_exhaustive]
pub enum Error {
    /// A text with errors has no certain meaning to be kept: its diagnostics.
    Faulty(Vec<Diagnostic>),
    /// In canonical form the text would be other music from here on; that is a fault of this crate.
    OtherMusic(Span),
    /// Another format could not be read, or cannot hold the score.
    Exchange(exchange::Error),
    /// A picture could not be written.
    Engrave(engrave::Error),
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::Faulty(found) => {
                let errors = found.iter().filter(|found| found.is_error()).count();
                write!(f, "the text has {errors} error{}", if errors == 1 { "" } else { "s" })
            }
            Error::OtherMusic(_) => f.write_str(
                "the canonical form would be other music; this is a fault of the program",
            ),
            Error::Exchange(error) => error.fmt(f),
            Error::Engrave(error) => error.fmt(f),
        }
    }
}

impl error::Error for Error {
    fn source(&self) -> Option<&(dyn error::Error + 'static)> {
        match self {
            Error::Faulty(_) | Error::OtherMusic(_) => None,
            Error::Exchange(error) => error.source(),
            Error::Engrave(error) => error.source(),
        }
    }
}

impl From<exchange::Error> for Error {
    fn from(error: exchange::Error) -> Error {
        Error::Exchange(error)
    }
}

impl From<engrave::Error> for Error {
    fn from(error: engrave::Error) -> Error {
        Error::Engrave(error)
    }
}
