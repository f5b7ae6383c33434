//! The strips of the open data, each with its row of signs: as the encodings have it, or as is printed
//! where they were found to have something else.

use std::fs;
use std::path::Path;

use cartella::Document;
use facsimile::image::GrayImage;
use facsimile::{Kind, Sizes, Sort, pages, strips};

use crate::{MADRIGALS, PARTS, SIGNED, as_printed, madrigal_parts, with_signs};

/// A laid-out staff and what stands on it.
pub struct LaidOut {
    /// Of which piece, from 0.
    pub piece: usize,
    /// Of which voice of it.
    pub voice: usize,
    /// As it is read.
    pub picture: GrayImage,
    /// What stands on it; nothing on an empty one.
    pub sorts: Vec<Sort>,
}

/// A scan of a voice, and what stands on its lines.
pub struct Opening {
    /// Of which piece, from 0.
    pub piece: usize,
    /// Of which voice of it.
    pub voice: usize,
    /// The scan.
    pub picture: GrayImage,
    /// Its lines with music, from the top down.
    pub lines: Vec<Vec<Sort>>,
}

/// A madrigal as it is encoded: the lines of each voice, with all that stands on them.
///
/// # Panics
/// If a voice has none.
pub fn encoded_lines(opendata: &Path, madrigal: &str) -> Vec<Vec<Vec<Sort>>> {
    let mut text = madrigal_parts(opendata, madrigal);
    if let Some((_, signs)) = SIGNED.iter().find(|(signed, _)| *signed == madrigal) {
        text = with_signs(&text, signs);
    }
    let document = Document::parse(text);
    let example = document.first();
    let copied = example.copied();
    let lines_of = |voice: usize| {
        let lines = copied.lines.iter().filter(|line| line.voice == voice);
        let mut lines: Vec<Vec<Sort>> =
            lines.map(|line| source::sorts(example.piece(), line)).collect();
        // Every voice of this print ends with a double bar, which the encodings do not have.
        lines.last_mut().expect("a line").push(Sort::of(Kind::DoubleBar));
        lines
    };
    (0..PARTS.len()).map(lines_of).collect()
}

/// The same as it is printed.
///
/// # Panics
/// If a voice has no line.
pub fn printed_lines(opendata: &Path, madrigal: &str) -> Vec<Vec<Vec<Sort>>> {
    let mut voices = encoded_lines(opendata, madrigal);
    for (lines, part) in voices.iter_mut().zip(PARTS) {
        as_printed(madrigal, part, lines);
    }
    voices
}

/// Some scans of the madrigals, chosen by the numbers of piece and voice.
///
/// # Panics
/// If one cannot be read.
pub fn openings(opendata: &Path, chosen: &dyn Fn(usize, usize) -> bool) -> Vec<Opening> {
    let mut found = Vec::new();
    for (piece, name) in MADRIGALS.iter().enumerate() {
        if !(0..PARTS.len()).any(|voice| chosen(piece, voice)) {
            continue;
        }
        let voices = printed_lines(opendata, name).into_iter().zip(PARTS).enumerate();
        for (voice, (lines, part)) in voices.filter(|(voice, _)| chosen(piece, *voice)) {
            let scan = opendata.join(format!("madrigals-1582/{name}/facsimile/{part}.pdf"));
            let mut read = pages(&fs::read(&scan).expect("a scan")).expect("pages");
            found.push(Opening { piece, voice, picture: read.remove(0).picture, lines });
        }
    }
    found
}

/// All staves of some scans of the madrigals, chosen by the numbers of piece and voice.
///
/// # Panics
/// If a line has no staff.
pub fn laid_out(opendata: &Path, chosen: &dyn Fn(usize, usize) -> bool) -> Vec<LaidOut> {
    let mut found = Vec::new();
    for Opening { piece, voice, picture, lines } in openings(opendata, chosen) {
        let staves = strips(&picture);
        let sizes = Sizes::of(&picture, &staves);
        let mut lines = lines.into_iter();
        for staff in &staves {
            let sorts = if staff.empty { None } else { lines.next() }.unwrap_or_default();
            found.push(LaidOut { piece, voice, picture: sizes.laid(staff), sorts });
        }
        assert!(lines.next().is_none(), "piece {piece}, voice {voice}: a line has no staff");
    }
    found
}
