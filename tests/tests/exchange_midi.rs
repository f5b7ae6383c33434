//! MIDI files, read by a reader of the suite's own: keys, onsets, lengths, names.

use exchange::write_midi;
use proptest::prelude::*;
use rudiments::{Direction, Interval};
use score::{BarLength, Score};
use sound::{Playing, perform};
use suite::{
    MADRIGALS, MidiNote, MidiTrack, aligned, fixtures, madrigal_parts, midi_tracks, opendata,
    sounding,
};

/// The semitones of the letters above C.
fn semitones(step: char) -> i32 {
    match step {
        'C' => 0,
        'D' => 2,
        'E' => 4,
        'F' => 5,
        'G' => 7,
        'A' => 9,
        'B' => 11,
        _ => panic!("{step}"),
    }
}

/// Compares a MIDI file with its score, moved by so many semitones.
fn compare(name: &str, score: &Score, interval: Option<Interval>, moved: i32) {
    let performance = perform(score, &Playing::exact(), interval);
    let bytes = write_midi(score, &performance).unwrap_or_else(|error| panic!("{name}: {error}"));
    let tracks = midi_tracks(&bytes);
    let (first, voices) = tracks.split_first().unwrap();
    assert_eq!(first.name, score.heading.title.clone().unwrap_or_default(), "{name}");
    // A minim, two quarters, lasts a second.
    assert_eq!(first.tempi, [500_000], "{name}");
    assert_eq!(first.notes, [], "{name}");
    assert_eq!(voices.len(), score.voices.len(), "{name}");
    for ((track, voice), expected) in voices.iter().zip(&score.voices).zip(sounding(score)) {
        let MidiTrack { name: track_name, notes, tempi, end, .. } = track;
        assert_eq!((track_name, tempi.len()), (&voice.name, 0), "{name}");
        assert_eq!(*end, first.end, "{name}");
        let mut expected: Vec<MidiNote> = expected
            .into_iter()
            .map(|note| MidiNote {
                onset: note.onset,
                key: (12 * (note.octave + 1) + semitones(note.step) + note.alter + moved) as u8,
                length: note.length,
            })
            .collect();
        expected.sort_unstable();
        expected.dedup();
        let mut notes = notes.clone();
        notes.sort_unstable();
        assert_eq!(notes, expected, "{name}");
    }
}

fn compare_all(name: &str, text: &str) {
    let (score, _) = aligned(text, BarLength::Breve);
    compare(name, &score, None, 0);
    // A fourth is five semitones, a fifth seven.
    let fourth = Interval::of_number(4, Direction::Down);
    compare(name, &score, fourth, -5);
    compare(name, &score, Interval::of_number(5, Direction::Up), 7);
}

#[test]
fn every_fixture() {
    for (name, text) in fixtures() {
        compare_all(&name, &text);
    }
}

#[test]
fn every_madrigal() {
    let Some(opendata) = opendata() else { return };
    for piece in MADRIGALS {
        compare_all(piece, &madrigal_parts(&opendata, piece));
    }
}

fn word() -> impl Strategy<Value = String> {
    prop_oneof![
        3 => "(lg|br|sb|mn|sm|fu|sf)".prop_map(String::from),
        12 => "[A-G](#|b|n)?[2345]\\.?".prop_map(String::from),
        2 => "_(\\*[1-4])?".prop_map(String::from),
        1 => "[DEFG]4=[1-9]/[1-7]".prop_map(String::from),
        1 => "[DE]4\\+[DGA](#|b)?4".prop_map(String::from),
        1 => "(ratio 3:2|ratio 5:4|ratio 1:1|\\|\\|)".prop_map(String::from),
    ]
}

proptest! {
    #[test]
    fn every_piece(
        high in proptest::collection::vec(word(), 1..60),
        low in proptest::collection::vec(word(), 1..60),
    ) {
        let (high, low) = (high.join(" "), low.join(" "));
        let text = format!("voice A clef C1\n sb {high}\nvoice B clef F4 signature Bb\n mn {low}\n");
        compare_all("generated", &text);
    }
}
