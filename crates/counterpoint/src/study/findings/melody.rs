//! How a voice moves by itself.
//!
//! A voice moves by the steps and leaps of the diatonic consonances up to the octave, of the sixths
//! by the rising minor one alone, and not by augmented or diminished intervals or sevenths (Zarlino,
//! *Istitutioni harmoniche*, 1558, III, ch. 37; Fux, *Gradus ad Parnassum*, 1725, I, first species;
//! both from memory). What a rest parts is no interval.

use super::Found;
use crate::study::moments::NoteRef;
use crate::study::rules::Rule;
use crate::texture::Height;

/// Each movement of each voice that is a fault somewhere.
pub(super) fn find(found: &mut Found<'_>) {
    let texture = found.texture;
    for (number, line) in texture.lines.iter().enumerate() {
        for (place, pair) in line.notes.windows(2).enumerate() {
            let [from, to] = pair else { continue };
            let (Some(before), Some(now)) = (from.pitch, to.pitch) else { continue };
            if from.section == to.section
                && let Some(rule) = movement(before, now)
            {
                let notes = [place, place + 1].map(|note| NoteRef::new(number, note));
                found.movement(rule, to.onset, &notes);
            }
        }
    }
}

/// The rule of a movement from one note to the next.
fn movement(from: Height, to: Height) -> Option<Rule> {
    let steps = to.rung - from.rung;
    let semitones = (to.semitones - from.semitones) * if steps < 0 { -1 } else { 1 };
    // The smallest and the largest natural size of each interval.
    let (least, most) = match steps.abs() {
        0 if semitones == 0 => return None,
        0 => return Some(Rule::ChromaticStep),
        1 => (1, 2),
        2 => (3, 4),
        3 => (5, 5),
        4 => (7, 7),
        5 => (8, 9),
        6 => (10, 11),
        7 => (12, 12),
        _ => return Some(Rule::WideLeap),
    };
    match (steps.abs(), semitones) {
        (_, size) if size < least => Some(Rule::Diminished),
        (_, size) if size > most => Some(Rule::Augmented),
        (5, 8) if steps > 0 => None,
        (5, _) => Some(Rule::Sixth),
        (6, _) => Some(Rule::Seventh),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{NOTHING, found};

    #[test]
    fn leaps_that_a_voice_sings() {
        assert_eq!(found(&["sb D4 E4 G4 D4 A4 D4 D5 D4 Bb4 A4 A4"]), NOTHING);
    }

    #[test]
    fn leaps_that_it_does_not_sing() {
        for (music, rule) in [
            ("sb F4 B4", "augmented-interval"),
            ("sb F4 G#4", "augmented-interval"),
            ("sb B4 F5", "diminished-interval"),
            ("sb F4 C#4", "diminished-interval"),
            ("sb D4 C5", "seventh"),
            ("sb D4 B4", "sixth"),
            ("sb Bb4 D4", "sixth"),
            ("sb D4 F5", "wide-leap"),
        ] {
            assert_eq!(found(&[music]), [format!("2: fault {rule}")], "{music}");
        }
        assert_eq!(found(&["sb F4 F#4"]), ["2: licence chromatic-step"]);
    }

    #[test]
    fn a_rest_parts() {
        assert_eq!(found(&["sb F4 _ B4"]), NOTHING);
    }
}
