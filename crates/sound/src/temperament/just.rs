//! Just intonation against the bass: each note is pure above the lowest that sounds when it is struck.
//!
//! The bass itself moves in quarter-comma meantone, so that the pitch neither rises nor sinks in the course
//! of a piece. A note that is held while the bass moves stays as it is: nobody retunes a pipe while it
//! sounds. No keyboard does this; it shows how an interval would sound if the ear alone decided.

use rudiments::Pitch;
use score::{Performance, PlayedNote};

use super::{Tuning, cents};

/// The ratio of an interval above the bass, by the fifths between its two names, octaves left out.
/// Gioseffo Zarlino, *Le istitutioni harmoniche* (Venice 1558), has the consonances and the syntonic
/// diatonic; of the augmented and diminished intervals each is made of those (common practice).
const RATIOS: [(i32, f64, f64); 19] = [
    (-9, 128.0, 75.0), // diminished seventh
    (-8, 32.0, 25.0),  // diminished fourth
    (-7, 48.0, 25.0),  // diminished octave
    (-6, 64.0, 45.0),  // diminished fifth
    (-5, 16.0, 15.0),  // minor second
    (-4, 8.0, 5.0),    // minor sixth
    (-3, 6.0, 5.0),    // minor third
    (-2, 9.0, 5.0),    // minor seventh
    (-1, 4.0, 3.0),    // fourth
    (0, 1.0, 1.0),
    (1, 3.0, 2.0),   // fifth
    (2, 9.0, 8.0),   // major second
    (3, 5.0, 3.0),   // major sixth
    (4, 5.0, 4.0),   // major third
    (5, 15.0, 8.0),  // major seventh
    (6, 45.0, 32.0), // augmented fourth
    (7, 25.0, 24.0), // augmented unison
    (8, 25.0, 16.0), // augmented fifth
    (9, 75.0, 64.0), // augmented second
];

/// The frequency of every note of a performance.
pub(super) fn frequencies(tuning: &Tuning, performance: &Performance) -> Vec<f64> {
    let notes = &performance.notes;
    let mut frequencies: Vec<f64> = Vec::with_capacity(notes.len());
    let is_heard = |note: &PlayedNote| performance.voices[note.voice].loudness > 0.0;
    // What sounds: places among the notes.
    let mut sounding: Vec<usize> = Vec::new();
    for struck in notes.chunk_by(|one, other| one.start == other.start) {
        let first = frequencies.len();
        let now = struck[0].start;
        sounding.retain(|place| notes[*place].end > now);
        let new = (first..first + struck.len()).filter(|place| is_heard(&notes[*place]));
        sounding.extend(new);
        let height = |place: &usize| (notes[*place].pitch.key_number(), *place);
        let bass = sounding.iter().copied().min_by_key(height);
        let (below, from) = match bass {
            // Nobody hears them.
            None => (struck[0].pitch, tuning.frequency(struck[0].pitch)),
            Some(bass) if bass < first => (notes[bass].pitch, frequencies[bass]),
            Some(bass) => (notes[bass].pitch, tuning.frequency(notes[bass].pitch)),
        };
        frequencies.extend(struck.iter().map(|note| above(tuning, below, from, note.pitch)));
    }
    frequencies
}

/// The frequency of a pitch above another that has that frequency.
fn above(tuning: &Tuning, below: Pitch, from: f64, pitch: Pitch) -> f64 {
    let fifths = pitch.fifths() - below.fifths();
    let Some((_, above, under)) = RATIOS.iter().find(|(place, ..)| *place == fifths) else {
        // An interval that no theorist names: as the keys have it.
        return tuning.frequency(pitch) / tuning.frequency(below) * from;
    };
    let ratio = above / under;
    let semitones = f64::from(pitch.key_number() - below.key_number());
    let octaves = ((semitones * 100.0 - cents(ratio)) / 1200.0).round();
    from * ratio * octaves.exp2()
}

#[cfg(test)]
mod tests {
    use super::super::testing::performance;
    use super::*;
    use crate::Temperament;

    fn heard(text: &str) -> Vec<f64> {
        let tuning = Tuning { temperament: Temperament::Just, ..Tuning::default() };
        tuning.frequencies(&performance(text))
    }

    #[test]
    fn a_chord_is_pure() {
        let text = "voice A clef C1\n lg E5\nvoice B clef C1\n lg C5\nvoice C clef C4\n lg G3\n\
                    voice D clef F4\n lg C3\n";
        let chord = heard(text);
        let ratios: Vec<f64> = chord.iter().map(|frequency| frequency / chord[3]).collect();
        for (found, expected) in ratios.iter().zip([5.0, 4.0, 1.5, 1.0]) {
            assert!((found - expected).abs() < 1e-12, "{ratios:?}");
        }
    }

    #[test]
    fn every_interval_has_about_its_size() {
        for (fifths, above, under) in RATIOS {
            let tempered = (f64::from(fifths) * 700.0).rem_euclid(1200.0);
            let away = (cents(above / under) - tempered).abs();
            assert!(away < 45.0, "{fifths}: {away}");
        }
    }

    /// What is held stays; the next note is pure against the new bass.
    #[test]
    fn a_held_note_is_not_retuned() {
        let text = "voice A clef C1\n sb C5 mn D C\nvoice B clef F4\n mn C3 F3 sb C3\n";
        let notes = performance(text);
        let names: Vec<String> = notes.notes.iter().map(|note| note.pitch.to_string()).collect();
        assert_eq!(names, ["C5", "C3", "F3", "D5", "C3", "C5"]);
        let found = heard(text);
        assert!((found[0] / found[1] - 4.0).abs() < 1e-12);
        assert!((found[3] / found[4] - 4.0 * 9.0 / 8.0).abs() < 1e-12);
        assert!((found[5] / found[4] - 4.0).abs() < 1e-12);
    }
}
