//! Why a run came to nothing.

use std::fmt;
use std::io;
use std::path::PathBuf;

use super::shown;
use crate::printed::Printed;

/// Why a run came to nothing.
pub(crate) enum Failure {
    /// A file could not be read.
    Unread(PathBuf, io::Error),
    /// A file could not be written.
    Unwritten(PathBuf, io::Error),
    /// A file is not to be written, for the reason that follows its name.
    Refused(PathBuf, String),
    /// A file that is not to be lost is there already.
    There(PathBuf),
    /// A file was changed by somebody else after it was read. What was to be written stands in the
    /// other one.
    Changed(PathBuf, PathBuf),
    /// Nobody reads the output any more.
    Closed,
    /// Anything else, in a sentence.
    Said(String),
    /// The same, after what was found in the file.
    Found(Printed, String),
    /// The command line cannot be understood, as is said here.
    Misused(Printed),
}

impl Failure {
    /// What is said of it.
    pub(crate) fn printed(&self) -> Printed {
        let said = Printed::plain(format!("cartella: {self}\n"));
        match self {
            Failure::Found(found, _) => found.clone() + said,
            Failure::Misused(said) => said.clone(),
            _ => said,
        }
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Failure::Unread(path, error) => write!(f, "cannot read {}: {error}", shown(path)),
            Failure::Unwritten(path, error) => write!(f, "cannot write {}: {error}", shown(path)),
            Failure::Refused(path, why) => write!(f, "cannot write {}: {why}", shown(path)),
            Failure::There(path) => {
                write!(f, "{} exists already; --replace overwrites it", shown(path))
            }
            Failure::Changed(path, other) => write!(
                f,
                "{} was changed by another program meanwhile, and is left as it is now; what was to be written is in {}",
                shown(path),
                shown(other)
            ),
            Failure::Closed => f.write_str("nobody reads the output"),
            Failure::Misused(_) => f.write_str("the command line cannot be understood"),
            Failure::Said(said) | Failure::Found(_, said) => f.write_str(said),
        }
    }
}
