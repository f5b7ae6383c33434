//! The way of a piece, as the command goes it.

use exchange::{MeiPart, read_mei};
use notation::{Diagnostic, Parsed, Spelling, parse, tidy};
use score::{Aligned, Arrangement, BarLength, Options, Score, align, arrange, reckon};

use crate::places::{PARTS, madrigal};

/// The parts file of a madrigal of the open data, in canonical form.
///
/// # Panics
/// If it cannot be read.
pub fn madrigal_parts(opendata: &std::path::Path, piece: &str) -> String {
    let texts = PARTS.map(|part| madrigal(opendata, piece, &format!("{part}.mei")));
    let parts: Vec<MeiPart<'_>> =
        PARTS.iter().zip(&texts).map(|(name, text)| MeiPart { name, text }).collect();
    let text = read_mei(&parts).unwrap_or_else(|error| panic!("{piece}: {error}")).text;
    tidy(&text, Spelling::default()).unwrap_or_else(|wrong| panic!("{piece}: {wrong:#?}"))
}

/// The aligned score of a parts file, with everything noticed on the way.
pub fn aligned(text: &str, bar: BarLength) -> (Score, Vec<Diagnostic>) {
    let Parsed { piece, mut diagnostics, .. } = parse(text);
    let Aligned { score, diagnostics: more } = align(&piece, reckon(&piece), bar);
    diagnostics.extend(more);
    (score, diagnostics)
}

/// The MusicXML of a score.
///
/// # Panics
/// If it has an octave that the format has not.
pub fn musicxml(score: &Score, options: Options) -> String {
    let arrangement: Arrangement<'_> = arrange(score, options);
    exchange::write_musicxml(&arrangement).unwrap_or_else(|error| panic!("{error}"))
}
