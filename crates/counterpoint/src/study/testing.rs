//! Short pieces for the tests.

use notation::Piece;
use score::{BarLength, Score, align, reckon};

use crate::texture::Texture;

/// A piece and its score.
pub(crate) fn scored(text: &str) -> (Piece, Score) {
    let piece = notation::parse(text).piece;
    let score = align(&piece, reckon(&piece), BarLength::Breve).score;
    (piece, score)
}

/// The texture of a piece.
pub(crate) fn texture(text: &str) -> Texture {
    let (piece, score) = scored(text);
    Texture::new(&piece, &score)
}

/// Voices as text, top voice first.
pub(crate) fn voices(music: &[&str]) -> String {
    let clefs = ["C1", "C3", "C4", "C4", "F4"];
    let clef = |place: usize| if place + 1 == music.len() { "F4" } else { clefs[place.min(4)] };
    let voice =
        |(place, music): (usize, &&str)| format!("voice V{place} clef {}\n {music}\n", clef(place));
    music.iter().enumerate().map(voice).collect()
}
