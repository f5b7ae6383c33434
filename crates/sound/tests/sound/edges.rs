//! Where notes begin and end, and what is beside them: onsets, steps, silence, other tones than were played.

use proptest::prelude::*;
use sound::{Frame, Instrument, Performance, PlayedNote, PlayedVoice, Rendering, Room, Stop};

use crate::music::{RATE, dry, frames, left, performance, pitch};
use crate::spectrum::{LENGTH, bin, decibels, spectrum};

fn instruments() -> [Instrument; 3] {
    [Instrument::Organ(Stop::ALL.to_vec()), Instrument::Plucked, Instrument::Plain]
}

/// Every note after a rest begins within a sample of its time, which is no whole number of samples.
#[test]
fn notes_begin_when_they_should() {
    for instrument in instruments() {
        let rendering = Rendering { instrument: instrument.clone(), ..dry() };
        let mut music = performance("voice V clef C1\n sb A4 _ C5 _ E5 _ br F4\n");
        for note in &mut music.notes {
            note.struck *= 1.0 / 1.7;
            note.released *= 1.0 / 1.7;
        }
        let samples = left(&music, &rendering);
        for note in &music.notes {
            let exact = note.struck * RATE;
            // Half a second of silence lies before it.
            let from = (exact - 2000.0).max(0.0) as usize;
            let first = from + samples[from..].iter().position(|sample| *sample != 0.0).unwrap();
            assert!((first as f64 - exact).abs() <= 1.0, "{instrument:?}: {first} for {exact}");
        }
    }
}

/// A canon at the unison: the voice that follows is the same, sample for sample, so that one taken from
/// the other leaves nothing.
#[test]
fn voices_of_a_canon_null() {
    for instrument in instruments() {
        let rendering = Rendering { instrument: instrument.clone(), ..dry() };
        let canon = |after: &str| {
            let music =
                format!("voice V clef C1\n sb {after} mn C5 D sb E mn F E D C sb B4 lg C5\n");
            left(&performance(&music), &rendering)
        };
        let (first, second) = (canon(""), canon("_ _"));
        // Two semibreves are four seconds.
        let shifted = &second[4 * 44_100..];
        let left = first.iter().zip(shifted).map(|(one, other)| (one - other).abs());
        assert!(left.fold(0.0, f64::max) < 1e-15, "{instrument:?}");
    }
}

/// Before the first note, between notes and after the last there is nothing at all.
#[test]
fn silence_is_silent() {
    for instrument in instruments() {
        let music = performance("voice V clef C1\n br _ mn C5 sb _ mn D5 br _ sb _\n");
        let samples = left(&music, &Rendering { instrument, ..dry() });
        let at = |seconds: f64| (seconds * RATE) as usize;
        for silent in [&samples[..at(4.0)], &samples[at(6.5)..at(7.0)], &samples[at(9.5)..]] {
            assert!(silent.iter().all(|sample| *sample == 0.0));
        }
        assert!(samples[at(4.0)..at(5.0)].iter().any(|sample| sample.abs() > 0.01));
        let nothing = performance("voice V clef C1\n lg _\n");
        let silent = frames(&nothing, &Rendering::default());
        assert!(silent.iter().flatten().all(|sample| *sample == 0.0));
    }
}

/// The room dies away, and then is silent.
#[test]
fn the_room_ends_in_silence() {
    for room in [Room::Chamber, Room::Chapel] {
        let music = performance("voice V clef C1\n br C5\n");
        let all = frames(&music, &Rendering { room, ..Rendering::default() });
        let last = all.last().unwrap();
        assert!(last.iter().all(|sample| sample.abs() < 1e-5), "{last:?}");
    }
}

/// The highest key of such an organ is C6, so that its 2 feet speak C8; far higher keys are asked, too:
/// whatever is heard beside the partials is 60 dB below the fundamental.
#[test]
fn nothing_is_heard_as_another_tone() {
    for instrument in instruments() {
        for name in ["C6", "F6", "C7", "C8", "G8"] {
            let rendering = Rendering { instrument: instrument.clone(), ..dry() };
            let fundamental = rendering.tuning.frequency(pitch(name));
            let samples = left(&performance(&format!("voice V clef C1\n br {name}\n")), &rendering);
            let found = spectrum(&samples[4410..4410 + LENGTH]);
            let loudest = found.iter().map(|value| value.norm()).fold(0.0, f64::max);
            // Strings are stiff in this model, too: their partials lie a little aside.
            let near = |place: usize| {
                let number = (place as f64 / bin(fundamental)).round().max(1.0);
                let away = (place as f64 / bin(fundamental * number) - 1.0).abs();
                away < 0.012 || (place as f64 - bin(fundamental * number)).abs() < 6.0
            };
            for (place, value) in found.iter().enumerate().filter(|(place, _)| !near(*place)) {
                let level = decibels(value.norm() / loudest);
                let hertz = place as f64 * RATE / LENGTH as f64;
                assert!(level < -60.0, "{instrument:?} {name}: {level} at {hertz}");
            }
        }
    }
}

/// A note of random music: voice, key, beginning and length.
type Played = (usize, i32, f64, f64);

/// The notes of random voices, which may overlap as no score's do.
fn random(notes: &[Played]) -> Performance {
    let mut performance = performance("voice V clef C1\n br C5\n");
    let model = performance.notes[0];
    performance.voices = (0..5)
        .map(|voice| PlayedVoice { loudness: 1.0, pan: f64::from(voice) / 2.0 - 1.0 })
        .collect();
    let names = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"];
    let mut notes: Vec<PlayedNote> = notes
        .iter()
        .map(|(voice, key, struck, length)| PlayedNote {
            voice: *voice,
            pitch: pitch(&format!("{}{}", names[(key % 12) as usize], key / 12)),
            struck: *struck,
            released: struck + length,
            ..model
        })
        .collect();
    notes.sort_by(|one, other| one.struck.total_cmp(&other.struck));
    performance.notes = notes;
    performance
}

fn played() -> impl Strategy<Value = Vec<Played>> {
    prop::collection::vec((0..5_usize, 24..73_i32, 0.0..3.0_f64, 0.01..1.0_f64), 1..40)
}

/// The largest step from a sample to the next.
fn step(frames: &[Frame]) -> f64 {
    let steps =
        frames.windows(2).flat_map(|pair| [0, 1].map(|side| (pair[1][side] - pair[0][side]).abs()));
    steps.fold(0.0, f64::max)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Nothing clips or is out of balance.
    #[test]
    fn no_sample_is_too_loud(notes in played(), which in 0..3_usize) {
        let instrument = instruments()[which].clone();
        let all = frames(&random(&notes), &Rendering { instrument, ..Rendering::default() });
        let loudest = all.iter().flatten().fold(0.0_f64, |most, sample| most.max(sample.abs()));
        prop_assert!(loudest < 0.98, "{}", loudest);
        for side in [0, 1] {
            let mean = all.iter().map(|frame| frame[side]).sum::<f64>() / all.len() as f64;
            prop_assert!(mean.abs() < 2e-4, "{}", mean);
        }
    }

    /// Where a note ends there is no larger step than there is in a note that is held, however early in its
    /// attack it is let go.
    #[test]
    fn no_note_ends_with_a_step(key in 24..73_i32, length in 0.02..1.5_f64, which in 0..3_usize) {
        let rendering = Rendering { instrument: instruments()[which].clone(), ..dry() };
        let all = frames(&random(&[(2, key, 0.0, length)]), &rendering);
        let held = frames(&random(&[(2, key, 0.0, 2.0)]), &rendering);
        let released = (length * RATE) as usize;
        let (end, most) = (step(&all[released..]), step(&held[..88_200]));
        prop_assert!(end <= 1.02 * most, "{} {}", end, most);
        // The last sample, too, is no cliff.
        let last = all.iter().rposition(|frame| frame[0] != 0.0).unwrap();
        prop_assert!(all[last][0].abs() < 1e-4, "{}", all[last][0]);
        prop_assert!(all[0][0].abs() < 0.02, "{}", all[0][0]);
    }
}
