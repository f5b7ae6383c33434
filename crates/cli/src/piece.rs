//! A parts file on its way to a score.

use std::path::Path;

use cartella::{Aligned, BarLength, Document, LARGEST_TEXT};

use crate::files::{self, Failure};
use crate::report::Source;

/// A parts file that was read.
pub(crate) struct Loaded {
    /// Its name in messages, on one line.
    pub(crate) name: String,
    pub(crate) document: Document,
}

impl Loaded {
    /// Reads and parses a file; only what cannot be read at all is a failure.
    pub(crate) fn read(path: &Path) -> Result<Loaded, Failure> {
        let bytes = files::read(path, LARGEST_TEXT)?;
        Ok(Loaded { name: files::shown(path), document: Document::from_bytes(&bytes) })
    }

    /// The score, and everything that reading, counting and aligning noticed, in the order of the
    /// text.
    pub(crate) fn score(&self, bar: impl Into<BarLength>) -> Aligned<'_> {
        self.document.score(bar.into())
    }

    pub(crate) fn source(&self) -> Source<'_> {
        Source { name: &self.name, document: &self.document }
    }
}
