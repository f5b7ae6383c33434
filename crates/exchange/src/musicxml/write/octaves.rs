//! The octaves that the format has.

use std::fmt;

use rudiments::Pitch;
use score::Arrangement;

/// Why an arrangement cannot be written as MusicXML.
#[derive(Clone, PartialEq, Eq, Debug)]
#[non_exhaustive]
pub enum MusicXmlError {
    /// A pitch is beyond the octaves of the format.
    NoOctave {
        /// The voice.
        voice: String,
        /// The number of the bar, from 1.
        bar: u32,
        /// The pitch, transposed.
        pitch: Pitch,
    },
}

impl fmt::Display for MusicXmlError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            MusicXmlError::NoOctave { voice, bar, pitch } => write!(
                f,
                "{pitch} in {voice}, bar {bar}, is beyond the octaves 0 to 9 of MusicXML: look whether \
                 the octave, the clef and the transposition are right"
            ),
        }
    }
}

impl std::error::Error for MusicXmlError {}

/// The first pitch, voice by voice, in an octave that the format has not.
pub(super) fn check(arrangement: &Arrangement<'_>) -> Result<(), MusicXmlError> {
    for (place, voice) in arrangement.score.voices.iter().enumerate() {
        for (bar, arranged) in arrangement.score.bars.iter().zip(&arrangement.bars) {
            let mut notes = arranged.voices[place].iter().flat_map(|segment| &segment.notes);
            if let Some(note) = notes.find(|note| !(0..=9).contains(&note.pitch.tone.octave)) {
                let voice = voice.name.clone();
                return Err(MusicXmlError::NoOctave { voice, bar: bar.number, pitch: note.pitch });
            }
        }
    }
    Ok(())
}
