//! Modern scores read into parts files, and what sounds in a score of the program.

use exchange::{Minim, Reading, read_musicxml};
use notation::{Spelling, tidy};
use num_rational::Ratio;
use rudiments::Time;
use score::{BarLength, Score, TimedEvent, TimedVoice};

use crate::{SoundingNote, aligned};

/// The parts file that a score in MusicXML becomes, in canonical form.
///
/// # Panics
/// If it cannot be read, or if what is read has errors.
pub fn read_score(name: &str, xml: &[u8], minim: Option<Minim>) -> String {
    let Reading { text, .. } =
        read_musicxml(name, xml, minim).unwrap_or_else(|error| panic!("{error}"));
    tidy(&text, Spelling::default()).unwrap_or_else(|wrong| panic!("{name}: {wrong:#?}\n{text}"))
}

/// The score of a parts file that must be without errors.
///
/// # Panics
/// If it is not.
pub fn faultless(name: &str, text: &str, bar: BarLength) -> Score {
    let (score, diagnostics) = aligned(text, bar);
    let errors: Vec<_> = diagnostics.iter().filter(|found| found.is_error()).collect();
    assert!(errors.is_empty(), "{name}: {errors:#?}");
    score
}

/// What sounds in a score, voice by voice, in quarters where a minim is a half note.
pub fn sounding(score: &Score) -> Vec<Vec<SoundingNote>> {
    score.voices.iter().map(sounding_voice).collect()
}

fn sounding_voice(voice: &TimedVoice) -> Vec<SoundingNote> {
    let notes = |event: &TimedEvent| {
        let note = |note: &score::Sounded| SoundingNote {
            onset: quarters(event.onset),
            length: quarters(event.length),
            step: note.pitch.tone.step.letter(),
            alter: note.pitch.alteration as i32,
            octave: note.pitch.tone.octave as i32,
            editorial: note.editorial.is_some(),
        };
        event.notes.iter().map(note).collect::<Vec<_>>()
    };
    voice.events.iter().flat_map(notes).collect()
}

fn quarters(time: Time) -> Ratio<i64> {
    Ratio::new(time.numerator() * 2, time.denominator())
}
