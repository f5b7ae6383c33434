//! How loud everything may be, so that nothing is too loud.

use score::Performance;

/// All notes that sound together have at most this amplitude, of the whole. What is left is for tones that
/// die away while others begin, and for the room.
const AMPLITUDE: f64 = 0.6;

/// So many voices at least are reckoned with: few are not made louder than they are among others.
const VOICES: f64 = 4.0;

/// By what amplitudes are multiplied.
pub(super) fn level(performance: &Performance) -> f64 {
    let notes = performance.notes.iter();
    let loudness = |voice: usize| performance.voices[voice].loudness.max(0.0);
    let mut changes: Vec<(f64, f64)> = notes
        .flat_map(|note| {
            let loudness = loudness(note.voice);
            [(note.struck, loudness), (note.released, -loudness)]
        })
        .collect();
    // What ends at a moment is over before what begins there.
    changes.sort_by(|one, other| one.0.total_cmp(&other.0).then(one.1.total_cmp(&other.1)));
    let mut now = 0.0;
    let mut most: f64 = VOICES;
    for (_, change) in changes {
        now += change;
        most = most.max(now);
    }
    AMPLITUDE / most
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::temperament::testing::performance;

    #[test]
    fn what_sounds_together_has_the_amplitude_of_all() {
        let voices = |count: usize| {
            (0..count)
                .map(|voice| format!("voice V{voice} clef C1\n br C5 lg D5\n"))
                .collect::<String>()
        };
        assert!((level(&performance(&voices(1))) - AMPLITUDE / 4.0).abs() < 1e-12);
        assert!((level(&performance(&voices(6))) - AMPLITUDE / 6.0).abs() < 1e-12);
    }
}
