//! Excerpts of whole pieces: what sounds in them is what sounds there in the whole, and every file of one
//! is as good as that of a piece.

use std::process::Command;

use num_rational::Ratio;
use roxmltree::Document;
use rudiments::Time;
use score::{BarLength, Excerpt, Options, Score, Staves};
use sound::{Playing, perform};
use suite::{
    MADRIGALS, SoundingNote, SoundingVoice, aligned, fixtures, madrigal_parts, midi_tracks,
    musicxml, opendata, schema_validator, sounding_voices,
};

const STAVES: [Staves; 2] = [Staves::Keyboard, Staves::Open];

/// All fixtures and madrigals.
fn pieces() -> Vec<(String, Score)> {
    let mut pieces = fixtures();
    if let Some(opendata) = opendata() {
        pieces.extend(MADRIGALS.map(|piece| (piece.to_owned(), madrigal_parts(&opendata, piece))));
    }
    let score = |(name, text): (String, String)| (name, aligned(&text, BarLength::Breve).0);
    pieces.into_iter().map(score).collect()
}

/// The first and the last of four bars, all over a score.
fn passages(score: &Score) -> impl Iterator<Item = (u32, u32)> {
    let last = score.bars.last().unwrap().number;
    (1..=last).step_by(3).map(move |first| (first, last.min(first + 3)))
}

fn quarters(time: Time) -> Ratio<i64> {
    Ratio::new(2 * time.numerator(), time.denominator())
}

/// What of notes sounds from one moment to another, counted from the first.
fn inside(notes: &[SoundingNote], start: Time, end: Time) -> Vec<SoundingNote> {
    let (start, end) = (quarters(start), quarters(end));
    let clipped = |note: &SoundingNote| {
        let (from, to) = (note.onset.max(start), (note.onset + note.length).min(end));
        (from < to).then(|| SoundingNote { onset: from - start, length: to - from, ..*note })
    };
    notes.iter().filter_map(clipped).collect()
}

/// Whether each tie of a file that begins ends, and none ends that has not begun.
fn ties_are_closed(xml: &str) -> bool {
    let document = Document::parse(xml).unwrap();
    let count = |kind: &str| {
        let ties = document.descendants().filter(|node| node.has_tag_name("tie"));
        ties.filter(|tie| tie.attribute("type") == Some(kind)).count()
    };
    count("start") == count("stop")
}

/// Read by the suite's own reader: notes are cut at the passage, and what is left is as in the whole.
#[test]
fn what_sounds_is_what_sounds_in_the_whole() {
    let mut compared = 0;
    for (name, score) in pieces() {
        for staves in STAVES {
            let options = Options { staves, ..Options::default() };
            let whole = sounding_voices(&musicxml(&score, options));
            for (first, last) in passages(&score) {
                let cut = Excerpt::bars(first..=last).of(&score).unwrap();
                let (start, end) =
                    (score.bars[first as usize - 1].start, score.bars[last as usize - 1].end);
                let xml = musicxml(&cut, options);
                assert!(ties_are_closed(&xml), "{name}, bars {first} to {last}");
                let found = sounding_voices(&xml);
                let sounds = |voice: &SoundingVoice, notes: Vec<SoundingNote>| {
                    (voice.part, voice.voice.clone(), notes)
                };
                let mut expected: Vec<_> = whole
                    .iter()
                    .map(|voice| sounds(voice, inside(&voice.notes, start, end)))
                    .collect();
                let mut found: Vec<_> =
                    found.iter().map(|voice| sounds(voice, voice.notes.clone())).collect();
                expected.retain(|(_, _, notes)| !notes.is_empty());
                found.retain(|(_, _, notes)| !notes.is_empty());
                assert_eq!(found, expected, "{name}, bars {first} to {last}");
                compared += found.iter().map(|(_, _, notes)| notes.len()).sum::<usize>();
            }
        }
    }
    assert!(compared > 2000, "{compared}");
}

/// Voices that are left out change neither the bars nor the numbers of the others.
#[test]
fn voices_left_out_change_nothing() {
    for (name, score) in pieces() {
        let whole = sounding_voices(&musicxml(&score, Options::default()));
        for place in 0..score.voices.len() {
            let alone = Excerpt::default().voices([place]).of(&score).unwrap();
            assert_eq!(alone.bars, score.bars, "{name}");
            let [found] =
                sounding_voices(&musicxml(&alone, Options::default())).try_into().unwrap();
            let expected = whole.iter().find(|voice| voice.voice == found.voice).unwrap();
            assert_eq!(found.notes, expected.notes, "{name}, voice {}", found.voice);
        }
    }
}

/// The schema of the W3C (MusicXML 4.0).
#[test]
fn every_excerpt_is_valid() {
    let Some(validator) = schema_validator() else { return };
    let folder = tempfile::tempdir().unwrap();
    let mut files = Vec::new();
    for (name, score) in pieces() {
        for (first, last) in passages(&score) {
            for staves in STAVES {
                let cut = Excerpt::bars(first..=last).of(&score).unwrap();
                let file = folder.path().join(format!("{}-{name}.musicxml", files.len()));
                let options = Options { staves, ..Options::default() };
                std::fs::write(&file, musicxml(&cut, options)).unwrap();
                files.push(file);
            }
        }
    }
    let output = Command::new(validator).args(&files).output().unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    let wrong: Vec<&str> = said.lines().filter(|line| !line.ends_with("validates")).collect();
    assert!(output.status.success(), "{}", wrong.join("\n"));
    println!("{} files are valid", files.len());
}

/// In MIDI everything begins exactly when the performance says, whatever is held on the way: its tempi,
/// followed tick by tick, give the same seconds, but for the microseconds to which the format rounds the
/// length of a quarter.
#[test]
fn midi_begins_notes_at_the_second_of_the_performance() {
    let mut compared = 0;
    for (name, score) in pieces() {
        let playing = Playing { count_in: 1, times: 2, ..Playing::of(&score) };
        let performance = perform(&score, &playing, None);
        let bytes = exchange::write_midi(&score, &performance).unwrap();
        let tracks = midi_tracks(&bytes);
        let tempi = &tracks[0].tempi_at;
        let second = |quarters: Ratio<i64>| {
            let mut sum = 0.0;
            for (place, (from, tempo)) in tempi.iter().enumerate() {
                let until = tempi.get(place + 1).map_or(quarters, |next| next.0.min(quarters));
                if until > *from {
                    let span = until - *from;
                    sum += *span.numer() as f64 / *span.denom() as f64 * f64::from(*tempo) / 1e6;
                }
            }
            sum
        };
        for (voice, track) in tracks[1..=score.voices.len()].iter().enumerate() {
            let mut expected: Vec<(i64, f64, f64)> = performance
                .notes
                .iter()
                .filter(|note| note.voice == voice)
                .map(|note| (note.pitch.key_number().into(), note.struck, note.released))
                .collect();
            let mut found: Vec<(i64, f64, f64)> = track
                .notes
                .iter()
                .map(|note| (note.key.into(), second(note.onset), second(note.onset + note.length)))
                .collect();
            let order = |one: &(i64, f64, f64), other: &(i64, f64, f64)| {
                one.1.total_cmp(&other.1).then(one.0.cmp(&other.0))
            };
            expected.sort_by(order);
            found.sort_by(order);
            assert_eq!(found.len(), expected.len(), "{name}");
            for (found, expected) in found.iter().zip(&expected) {
                assert_eq!(found.0, expected.0, "{name}");
                assert!((found.1 - expected.1).abs() < 1e-4, "{name}: {found:?} {expected:?}");
                // Half a tick of a quarter of 480 is half a thousandth of a second.
                assert!((found.2 - expected.2).abs() < 2e-3, "{name}: {found:?} {expected:?}");
            }
            compared += found.len();
        }
    }
    assert!(compared > 1000, "{compared}");
}
