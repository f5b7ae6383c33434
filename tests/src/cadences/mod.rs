//! Short cadences of all kinds with what is to be found in each, and a reader of cadences that has
//! nothing in common with the program's own: it knows pitches, onsets and ends alone.

mod reader;
mod told;

use cartella::Document;
use notation::Piece;

pub use reader::read_cadences;
pub use told::{Told, told};

/// A short piece, and the cadences in it.
#[derive(Clone, Debug)]
pub struct CadenceCase {
    /// Its name.
    pub name: String,
    /// The piece.
    pub piece: Piece,
    /// Its cadences, each as a line; see [`Told`].
    pub expected: Vec<String>,
}

/// The cases; what is expected stands in the notes of their heads.
///
/// # Panics
/// If their file has errors.
pub fn cadence_cases() -> Vec<CadenceCase> {
    let document = Document::parse(include_str!("cases.parts"));
    assert!(!document.has_errors(), "{:#?}", document.diagnostics());
    let case = |example: cartella::Example<'_>| {
        let piece = example.piece().clone();
        let name = piece.head.example.as_ref().map_or(String::new(), |name| name.text.clone());
        let expected = piece.head.notes.iter().map(|note| note.text.clone()).collect();
        CadenceCase { name, piece, expected }
    };
    document.examples().map(case).collect()
}
