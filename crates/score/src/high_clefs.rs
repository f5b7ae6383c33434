//! The high clefs, and the transposition that they ask for.

use notation::{Code, Diagnostic, Piece};
use rudiments::{Accidental, Clef, ClefShape, Signature, Step};

/// A warning where a piece is written in the high clefs: the violin clef at the top, and at the
/// bottom an alto, tenor or baritone clef.
///
/// Praetorius, *Syntagma musicum* III (1619), p. 80-81, has pieces in such clefs played a fourth
/// lower where the signature has a flat, a fifth lower where it has none (from memory).
pub fn high_clefs(piece: &Piece) -> Option<Diagnostic> {
    let clef = |shape, line| Clef { shape, line };
    let high_top = clef(ClefShape::G, 2);
    let high_bottom = [clef(ClefShape::C, 3), clef(ClefShape::C, 4), clef(ClefShape::F, 3)];
    let written: Vec<(&str, Clef)> = piece
        .voices
        .iter()
        .filter_map(|voice| voice.clef.map(|clef| (voice.name.as_str(), clef)))
        .collect();
    let [top, .., bottom] = written.as_slice() else { return None };
    if top.1 != high_top || !high_bottom.contains(&bottom.1) {
        return None;
    }
    let lowest_signature = piece.voices.last().map_or(Signature::NONE, |voice| voice.signature);
    let flat = lowest_signature.alteration(Step::B) == Accidental::Flat.alteration(Step::B, 0);
    let (interval, number) = if flat { ("fourth", 4) } else { ("fifth", 5) };
    let message =
        format!("high clefs, from {} in {} to {} in {}", top.0, top.1, bottom.0, bottom.1);
    let help = format!(
        "such pieces were commonly played a {interval} lower: score --transpose {number} down"
    );
    Some(Diagnostic::new(Code::HighClefs, piece.voices[0].span, message).help(help))
}

#[cfg(test)]
mod tests {
    use notation::parse;

    use super::*;

    fn advice(clefs: &[&str], signature: &str) -> Option<String> {
        let voices: String = clefs
            .iter()
            .enumerate()
            .map(|(place, clef)| format!("voice V{place} clef {clef} signature {signature}\n"))
            .collect();
        high_clefs(&parse(&voices).piece).and_then(|found| found.help)
    }

    #[test]
    fn a_fourth_with_a_flat_and_a_fifth_without() {
        assert!(advice(&["G2", "C2", "C3", "F3"], "Bb").unwrap().ends_with("--transpose 4 down"));
        assert!(advice(&["G2", "C2", "C3", "C4"], "none").unwrap().ends_with("--transpose 5 down"));
    }

    #[test]
    fn the_usual_clefs_are_not_high() {
        assert_eq!(advice(&["C1", "C3", "C4", "F4"], "none"), None);
        assert_eq!(advice(&["G2", "C2", "C3", "F4"], "none"), None);
        assert_eq!(advice(&["G2"], "none"), None);
    }
}
