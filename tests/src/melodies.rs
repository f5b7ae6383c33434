//! Melodies of the open data as bare notes, to be made into canons and planted elsewhere.

use std::fmt::Write as _;
use std::path::Path;

use rudiments::{Pitch, Time, Tone};

use crate::slips::scored;
use crate::{CLEAN_MADRIGALS, duos, madrigal_parts, read_score};

/// A note or rest: what sounds, and for how many minims.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Sung {
    /// Nothing for a rest.
    pub pitch: Option<Pitch>,
    /// In minims.
    pub length: Time,
}

impl Sung {
    /// A rest of so many minims.
    pub fn rest(length: Time) -> Sung {
        Sung { pitch: None, length }
    }
}

/// The voices of a parts file.
pub fn melodies(text: &str) -> Vec<Vec<Sung>> {
    let (_, score) = scored(text);
    let sung = |event: &score::TimedEvent| Sung {
        pitch: event.notes.first().map(|note| note.pitch),
        length: event.length,
    };
    score.voices.iter().map(|voice| voice.events.iter().map(sung).collect()).collect()
}

/// The voices of all clean madrigals and duos, piece by piece.
pub fn real_melodies(opendata: &Path) -> Vec<(String, Vec<Vec<Sung>>)> {
    let madrigals = CLEAN_MADRIGALS
        .iter()
        .map(|name| ((*name).to_owned(), melodies(&madrigal_parts(opendata, name))));
    let duos = duos(opendata)
        .into_iter()
        .map(|(name, xml)| (name.clone(), melodies(&read_score(&name, xml.as_bytes(), None))));
    madrigals.chain(duos).collect()
}

/// The notes that begin in a stretch of time, in minims; those that hang over are cut.
pub fn stretch(voice: &[Sung], from: Time, to: Time) -> Vec<Sung> {
    let mut cut = Vec::new();
    let mut onset = Time::ZERO;
    for note in voice {
        let end = onset + note.length;
        let (begins, ends) = (onset.max(from), end.min(to));
        if begins < ends {
            cut.push(Sung { pitch: note.pitch, length: ends - begins });
        }
        onset = end;
    }
    if onset < to {
        cut.push(Sung::rest(to - onset.max(from)));
    }
    cut
}

/// A voice with something else in place of what it has there.
pub fn replaced(voice: &[Sung], at: Time, with: &[Sung]) -> Vec<Sung> {
    let length = duration(with);
    let mut new = stretch(voice, Time::ZERO, at);
    new.extend_from_slice(with);
    let end = duration(voice);
    if at + length < end {
        new.extend(stretch(voice, at + length, end));
    }
    new
}

/// How long a melody is.
pub fn duration(voice: &[Sung]) -> Time {
    voice.iter().fold(Time::ZERO, |sum, note| sum + note.length)
}

/// A melody so many steps higher: with the fifth, fourth and octave exact where the signs can be
/// typed, else on the white keys.
pub fn transposed(voice: &[Sung], steps: i32) -> Vec<Sung> {
    let semitones = [0, 2, 4, 5, 7, 9, 11][steps.rem_euclid(7) as usize] + 12 * steps.div_euclid(7);
    let moved = |pitch: Pitch| {
        let tone = pitch.tone.up(steps);
        let exact = pitch.key_number() + semitones - Pitch::new(tone, 0).key_number();
        typable(tone, exact)
    };
    voice.iter().map(|note| Sung { pitch: note.pitch.map(moved), ..*note }).collect()
}

/// A melody upside down: what was a step above the axis is a step below.
pub fn inverted(voice: &[Sung], axis: Tone) -> Vec<Sung> {
    let turned = |pitch: Pitch| typable(axis.up(axis.steps_above(pitch.tone)), 0);
    voice.iter().map(|note| Sung { pitch: note.pitch.map(turned), ..*note }).collect()
}

/// A melody in other values.
pub fn scaled(voice: &[Sung], numerator: i64, denominator: i64) -> Vec<Sung> {
    let scale = |length: Time| length * numerator / denominator;
    voice.iter().map(|note| Sung { length: scale(note.length), ..*note }).collect()
}

/// A pitch that has a sign: the sharp makes *mi*, the flat *fa*.
fn typable(tone: Tone, alteration: i32) -> Pitch {
    use rudiments::Step::{B, C, E, F};
    let can = match alteration {
        1 => !matches!(tone.step, B | E),
        -1 => !matches!(tone.step, C | F),
        _ => false,
    };
    Pitch::new(tone, if can { alteration as i8 } else { 0 })
}

/// A parts file of these voices, each length said by itself.
pub fn typed(voices: &[Vec<Sung>]) -> String {
    let mut text = String::new();
    for (number, voice) in voices.iter().enumerate() {
        let _ = write!(text, "voice V{} clef C3\n  mn", number + 1);
        for note in voice {
            match note.pitch {
                None => text.push_str(" _"),
                Some(Pitch { tone, alteration }) => {
                    let sign = match alteration {
                        0 => "n",
                        1.. => "#",
                        _ => "b",
                    };
                    let _ = write!(text, " {}{sign}{}", tone.step, tone.octave);
                }
            }
            let _ = write!(text, "={}/{}", note.length.numerator(), note.length.denominator());
        }
        text.push('\n');
    }
    text
}
