//! Frequencies as they come out, against published tables.

use sound::{Instrument, Rendering, Stop, Temperament, Tuning};

use crate::music::{dry, left, performance, pitch};
use crate::spectrum::{cents, frequency};

const NAMES: [&str; 12] =
    ["C4", "C#4", "D4", "Eb4", "E4", "F4", "F#4", "G4", "G#4", "A4", "Bb4", "B4"];

/// Cents above C, to a tenth, computed from what the source says of the fifths: a quarter of the syntonic
/// comma narrow (Aron 1523, Zarlino 1571), a sixth (Sorge 1748), two sevenths (Zarlino 1558), pure (Arnaut
/// de Zwolle), and the twelfth part of the octave for each semitone (Mersenne 1636). Whole cents of the
/// first, fourth and fifth are those of J. Murray Barbour, *Tuning and Temperament* (1951), from memory.
const TABLES: [(Temperament, [f64; 12]); 5] = [
    (
        Temperament::QuarterComma,
        [0.0, 76.0, 193.2, 310.3, 386.3, 503.4, 579.5, 696.6, 772.6, 889.7, 1006.8, 1082.9],
    ),
    (
        Temperament::SixthComma,
        [0.0, 88.6, 196.7, 304.9, 393.5, 501.6, 590.2, 698.4, 787.0, 895.1, 1003.3, 1091.9],
    ),
    (
        Temperament::TwoSevenths,
        [0.0, 70.7, 191.6, 312.6, 383.2, 504.2, 574.9, 695.8, 766.5, 887.4, 1008.4, 1079.1],
    ),
    (
        Temperament::Pythagorean,
        [0.0, 113.7, 203.9, 294.1, 407.8, 498.0, 611.7, 702.0, 815.6, 905.9, 996.1, 1109.8],
    ),
    (
        Temperament::Equal,
        [0.0, 100.0, 200.0, 300.0, 400.0, 500.0, 600.0, 700.0, 800.0, 900.0, 1000.0, 1100.0],
    ),
];

fn instruments() -> [Instrument; 3] {
    [Instrument::Organ(Stop::ALL.to_vec()), Instrument::Plucked, Instrument::Plain]
}

/// The fundamental of a note as it is heard.
fn heard(name: &str, rendering: &Rendering) -> f64 {
    let performance = performance(&format!("voice V clef C1\n br {name}\n"));
    let samples = left(&performance, rendering);
    // After the attack.
    frequency(&samples[8820..], rendering.tuning.frequency(pitch(name)))
}

#[test]
fn every_temperament_is_heard_as_its_table_has_it() {
    for instrument in instruments() {
        for (temperament, table) in TABLES {
            let tuning = Tuning { temperament, ..Tuning::default() };
            let rendering = Rendering { tuning, instrument: instrument.clone(), ..dry() };
            // A4 is 440 Hz.
            for (name, above_c) in NAMES.iter().zip(table) {
                let found = cents(heard(name, &rendering), 440.0) + table[9];
                let away = found - above_c;
                assert!(away.abs() < 0.5, "{instrument:?} {temperament:?} {name}: {away}");
            }
        }
    }
}

#[test]
fn strings_and_pipes_are_in_tune_from_the_lowest_to_the_highest_key() {
    for instrument in instruments() {
        let rendering = Rendering { instrument: instrument.clone(), ..dry() };
        for name in ["C2", "E2", "F#2", "B2", "C3", "G3", "D5", "A5", "C6", "F6"] {
            let expected = rendering.tuning.frequency(pitch(name));
            let away = cents(heard(name, &rendering), expected);
            assert!(away.abs() < 0.5, "{instrument:?} {name}: {away}");
        }
    }
}

/// The third of quarter-comma meantone is 5:4 (Aron 1523 as it is understood; 386.3 cents), its wolf
/// 737.6 cents (Barbour 1951: 738, from memory).
#[test]
fn thirds_are_pure_and_the_wolf_howls() {
    for instrument in instruments() {
        let rendering = Rendering { instrument, ..dry() };
        let interval = |lower, upper| cents(heard(upper, &rendering), heard(lower, &rendering));
        for (lower, upper) in
            [("C4", "E4"), ("G3", "B3"), ("D4", "F#4"), ("Eb4", "G4"), ("E4", "G#4")]
        {
            let away = interval(lower, upper) - cents(5.0, 4.0);
            assert!(away.abs() < 0.5, "{lower}-{upper}: {away}");
        }
        assert!((interval("G#3", "Eb4") - 737.6).abs() < 0.5);
        // The same on keys that have the note.
        let tuning = Tuning { keys: "Ab".parse().unwrap(), ..Tuning::default() };
        let rendering = Rendering { tuning, ..rendering.clone() };
        let fifth = cents(heard("Eb4", &rendering), heard("Ab3", &rendering));
        assert!((fifth - 696.6).abs() < 0.5, "{fifth}");
    }
}

/// In just intonation a chord is 4:5:6 above its bass.
#[test]
fn just_chords_have_their_ratios() {
    let tuning = Tuning { temperament: Temperament::Just, ..Tuning::default() };
    let rendering = Rendering { tuning, instrument: Instrument::Plain, ..dry() };
    let text = "voice A clef C1\n br D5\nvoice B clef C3\n br B4\nvoice C clef C4\n br G3\n";
    let samples = left(&performance(text), &rendering);
    let bass = frequency(&samples[8820..], rendering.tuning.frequency(pitch("G3")));
    for ratio in [5.0 / 2.0, 3.0] {
        let away = cents(frequency(&samples[8820..], bass * ratio), bass * ratio);
        assert!(away.abs() < 0.05, "{ratio}: {away}");
    }
}

/// The pitch of A is what was asked for.
#[test]
fn every_usual_pitch_is_heard() {
    for hertz in sound::PITCHES {
        let tuning = Tuning { pitch: f64::from(hertz), ..Tuning::default() };
        let found = heard("A4", &Rendering { tuning, ..dry() });
        assert!(cents(found, f64::from(hertz)).abs() < 0.5, "{hertz}: {found}");
    }
}
