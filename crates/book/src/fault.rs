//! What is wrong with a book, and where.

use std::fmt;

/// A place in a file of the book.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Place {
    /// The file, as the book names it.
    pub file: String,
    /// The line, from 1.
    pub line: u32,
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.file, self.line)
    }
}

/// Something that is wrong. The rest of the book is made all the same.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Fault {
    /// Where.
    pub place: Place,
    /// What, and what to type instead.
    pub message: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.place, self.message)
    }
}
