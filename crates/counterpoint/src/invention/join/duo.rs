//! Two voices that are to be joined with two others.

use std::fmt;

use rudiments::{Signature, Time};

use super::super::line::{Line, Tick, ticks};
use super::super::write_out::PartNote;

/// So many minims a pair may last.
const MOST_MINIMS: i64 = 4096;

/// So fine its time may be: parts of a minim.
const FINEST: i64 = 96;

/// Two voices in plain counting, in minims from the beginning of their piece.
#[derive(Clone, PartialEq, Debug)]
pub struct Duo {
    voices: [Vec<PartNote>; 2],
    signature: Signature,
}

/// Why some voices cannot be joined.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum NoDuo {
    /// There are so many voices with notes, and not two.
    Voices(usize),
    /// They last too long.
    TooLong,
    /// Their time is divided too finely.
    TooFine,
}

/// After the name of the piece: `has three voices …`.
impl fmt::Display for NoDuo {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NoDuo::Voices(1) => f.write_str("has one voice, and a pair has two"),
            NoDuo::Voices(count) => write!(f, "has {count} voices, and a pair has two"),
            NoDuo::TooLong => write!(f, "is too long: a pair has at most {MOST_MINIMS} minims"),
            NoDuo::TooFine => f.write_str("divides the minim too finely"),
        }
    }
}

impl std::error::Error for NoDuo {}

impl Duo {
    /// Voices with their notes in order of time and none over another; what is silent is left out.
    ///
    /// # Errors
    /// If there are not two, or if they last too long or have too short notes.
    pub fn new(voices: Vec<Vec<PartNote>>, signature: Signature) -> Result<Duo, NoDuo> {
        let mut voices = voices;
        voices.retain(|voice| !voice.is_empty());
        let voices: [Vec<PartNote>; 2] =
            voices.try_into().map_err(|voices: Vec<_>| NoDuo::Voices(voices.len()))?;
        let notes = || voices.iter().flatten();
        if notes().any(|note| note.at + note.length > Time::minims(MOST_MINIMS)) {
            return Err(NoDuo::TooLong);
        }
        let mut times = notes().flat_map(|note| [note.at, note.length]);
        if times.any(|time| FINEST % time.denominator() != 0) {
            return Err(NoDuo::TooFine);
        }
        Ok(Duo { voices, signature })
    }

    /// The two voices.
    pub fn voices(&self) -> &[Vec<PartNote>; 2] {
        &self.voices
    }

    /// The signature under which they are sung.
    pub fn signature(&self) -> Signature {
        self.signature
    }

    /// When the first note begins.
    pub fn begin(&self) -> Time {
        let firsts = self.voices.iter().filter_map(|voice| voice.first());
        firsts.map(|note| note.at).min().unwrap_or(Time::ZERO)
    }

    /// The notes in ticks, numbered from 1 in each voice.
    pub(super) fn lines(&self) -> [Line; 2] {
        let line = |voice: &Vec<PartNote>| -> Line {
            let numbered = (1..).zip(voice);
            let tick = |(number, note): (u32, &PartNote)| {
                Tick::of(note.pitch, ticks(note.at), ticks(note.at + note.length), number)
            };
            numbered.map(tick).collect()
        };
        [line(&self.voices[0]), line(&self.voices[1])]
    }
}
