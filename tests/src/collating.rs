//! Transcriptions compared, as the command compares them.

use notation::{Parsed, parse};
use score::{Basis, Difference, Score, Side, collate, merge};

use crate::slips::scored;

/// A transcription with its score.
pub struct Transcription {
    text: String,
    parsed: Parsed,
    score: Score,
}

impl Transcription {
    /// That of a parts file.
    pub fn new(text: &str) -> Transcription {
        Transcription { text: text.to_owned(), parsed: parse(text), score: scored(text).1 }
    }

    fn side(&self) -> Side<'_> {
        Side { piece: &self.parsed.piece, score: &self.score }
    }

    /// What differs in another.
    pub fn against(&self, other: &Transcription, basis: Basis) -> Vec<Difference> {
        collate(self.side(), other.side(), basis).differences
    }

    /// The text with what is printed otherwise in another as variants, and how many differences are not
    /// among them.
    pub fn with_variants(&self, other: &Transcription) -> (String, usize) {
        let collation = collate(self.side(), other.side(), Basis::Printed);
        let merged = merge(&self.text, &self.parsed, &collation);
        (merged.text, merged.unwritten)
    }
}
