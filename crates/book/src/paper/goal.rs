//! Places of a book that others lead to.

use cartella::Mm;

/// A place to which something leads.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Goal {
    /// Outside the book.
    Address(String),
    /// An example, by its place.
    Figure(usize),
    /// A chapter, by its place.
    Chapter(usize),
    /// A heading, by its chapter and name.
    Heading(usize, String),
    /// The text of a footnote, by its place.
    Note(usize),
    /// The number of a footnote in the text.
    Call(usize),
    /// The number of a footnote in the picture of an example.
    InPicture(usize),
    /// The index of examples.
    Index,
}

/// A rectangle that leads somewhere.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Spot {
    pub(super) at: (Mm, Mm),
    pub(super) size: (Mm, Mm),
    pub(super) goal: Goal,
    pub(super) words: String,
}

impl Spot {
    pub(super) fn moved(mut self, x: Mm, y: Mm) -> Spot {
        self.at = (self.at.0 + x, self.at.1 + y);
        self
    }
}
