//! The way of a piece, as the command goes it.

use cartella::{BarLength, Diagnostic, Document, MeiPart, Options, Score};
use score::arrange;

use crate::places::{PARTS, madrigal};

/// The parts file of a madrigal of the open data, in canonical form.
///
/// # Panics
/// If it cannot be read.
pub fn madrigal_parts(opendata: &std::path::Path, piece: &str) -> String {
    let texts = PARTS.map(|part| madrigal(opendata, piece, &format!("{part}.mei")));
    let parts: Vec<MeiPart<'_>> =
        PARTS.iter().zip(&texts).map(|(name, text)| MeiPart { name, text }).collect();
    let (document, _) =
        Document::read_mei(&parts).unwrap_or_else(|error| panic!("{piece}: {error}"));
    assert!(!document.has_errors(), "{piece}: {:#?}", document.diagnostics());
    document.text().to_owned()
}

/// The aligned score of a parts file, with everything noticed on the way.
pub fn aligned(text: &str, bar: BarLength) -> (Score, Vec<Diagnostic>) {
    let document = Document::parse(text);
    let aligned = document.score(bar);
    (aligned.score, aligned.diagnostics)
}

/// The MusicXML of a score.
///
/// # Panics
/// If it has an octave that the format has not.
pub fn musicxml(score: &Score, options: Options) -> String {
    exchange::write_musicxml(&arrange(score, options)).unwrap_or_else(|error| panic!("{error}"))
}
