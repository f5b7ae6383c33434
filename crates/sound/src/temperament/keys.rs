//! Which notes the keys of a keyboard have.

use std::error;
use std::fmt;
use std::str::FromStr;

use rudiments::{Pitch, Step, Tone};

/// A note in any octave, as it is spelled: a place on the line of fifths.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Note(i32);

impl Note {
    /// The note of a pitch.
    pub fn of(pitch: Pitch) -> Note {
        Note(pitch.fifths())
    }

    /// The note so many fifths above C.
    pub(super) const fn at(fifths: i32) -> Note {
        Note(fifths)
    }

    /// Fifths above C.
    pub(super) fn fifths(self) -> i32 {
        self.0
    }

    /// Its key, from 0 for that of C to 11 for that of B.
    fn key(self) -> usize {
        (self.0 * 7).rem_euclid(12) as usize
    }

    /// `Eb`, `F#`, `C##`: a letter and at most two signs.
    fn parse(word: &str) -> Option<Note> {
        let mut letters = word.chars();
        let step = letters.next().and_then(Step::from_letter)?;
        let alteration = match letters.as_str() {
            "" => 0,
            "#" => 1,
            "##" => 2,
            "b" => -1,
            "bb" => -2,
            _ => return None,
        };
        Some(Note::of(Pitch::new(Tone::new(step, 4), alteration)))
    }
}

/// `Eb`.
impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let letter = ["F", "C", "G", "D", "A", "E", "B"][(self.0 + 1).rem_euclid(7) as usize];
        let signs = (self.0 + 1).div_euclid(7);
        let sign = if signs < 0 { "b" } else { "#" };
        write!(f, "{letter}{}", sign.repeat(signs.unsigned_abs() as usize))
    }
}

/// Which notes each of the twelve keys of an octave has: one, or several where it is split.
///
/// The usual ones are the seven naturals and C#, Eb, F#, G#, Bb (common practice of meantone). What is
/// parsed says which keys are otherwise: `Ab` for G sharp, `G#/Ab` for a split key.
///
/// ```
/// use sound::Keys;
///
/// let keys: Keys = "Ab, Eb/D#".parse()?;
/// assert_eq!(keys.to_string(), "C C# D Eb/D# E F F# G Ab A Bb B");
/// # Ok::<(), sound::KeysError>(())
/// ```
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Keys([Vec<Note>; 12]);

impl Default for Keys {
    fn default() -> Keys {
        // From E flat up eleven fifths to G sharp.
        let mut keys = Keys(Default::default());
        for note in (-3..=8).map(Note) {
            keys.0[note.key()].push(note);
        }
        keys
    }
}

impl Keys {
    /// The first note of a key, from 0 for that of C to 11 for that of B.
    pub(super) fn first(&self, key: usize) -> Note {
        self.0[key][0]
    }

    /// The note that its key has for it: itself, or the one spelled most like it.
    pub(super) fn nearest(&self, wanted: Note) -> Note {
        let notes = self.0[wanted.key()].iter().copied();
        notes.min_by_key(|note| note.0.abs_diff(wanted.0)).unwrap_or(wanted)
    }
}

impl FromStr for Keys {
    type Err = KeysError;

    fn from_str(text: &str) -> Result<Keys, KeysError> {
        let mut keys = Keys::default();
        let mut named = [false; 12];
        for word in text.split(',').map(str::trim) {
            let notes = word.split('/').map(|name| {
                let name = name.trim();
                Note::parse(name).ok_or_else(|| KeysError::NoNote(name.to_owned()))
            });
            let notes: Vec<Note> = notes.collect::<Result<_, _>>()?;
            let key = notes[0].key();
            if notes.iter().any(|note| note.key() != key) {
                return Err(KeysError::TwoKeys(word.to_owned()));
            }
            if std::mem::replace(&mut named[key], true) {
                return Err(KeysError::Twice(word.to_owned()));
            }
            keys.0[key] = notes;
        }
        Ok(keys)
    }
}

/// The notes from C to B, those of a split key parted by `/`.
impl fmt::Display for Keys {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let key =
            |notes: &Vec<Note>| notes.iter().map(Note::to_string).collect::<Vec<_>>().join("/");
        f.write_str(&self.0.iter().map(key).collect::<Vec<_>>().join(" "))
    }
}

/// Why the notes of keys cannot be read.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum KeysError {
    /// A word is no note.
    NoNote(String),
    /// Notes that are parted by `/` belong to two keys.
    TwoKeys(String),
    /// A key is named for the second time.
    Twice(String),
}

impl fmt::Display for KeysError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            KeysError::NoNote(word) => write!(
                f,
                "`{word}` is not a note: type the notes that keys have instead of the usual ones, such \
                 as Ab or D#, parted by commas"
            ),
            KeysError::TwoKeys(word) => write!(
                f,
                "the notes of `{word}` are not on one key: a split key has two, such as G#/Ab; part \
                 others by commas"
            ),
            KeysError::Twice(word) => write!(
                f,
                "`{word}` is on a key that was named before: if the key has both notes, part them by /, \
                 as in G#/Ab"
            ),
        }
    }
}

impl error::Error for KeysError {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn usual_keys_have_two_flats_and_three_sharps() {
        assert_eq!(Keys::default().to_string(), "C C# D Eb E F F# G G# A Bb B");
    }

    #[test]
    fn keys_are_named_by_their_notes() {
        let keys = |text: &str| text.parse::<Keys>().map(|keys| keys.to_string());
        assert_eq!(keys("Ab"), Ok("C C# D Eb E F F# G Ab A Bb B".to_owned()));
        assert_eq!(keys("d#/eb,G#/Ab"), Ok("C C# D D#/Eb E F F# G G#/Ab A Bb B".to_owned()));
        // Arnaut's flats.
        assert_eq!(keys("Db,Gb,Ab"), Ok("C Db D Eb E F Gb G Ab A Bb B".to_owned()));
        // White keys can be split too.
        assert_eq!(keys("E/Fb,B#/C"), Ok("B#/C C# D Eb E/Fb F F# G G# A Bb B".to_owned()));
    }

    #[test]
    fn what_is_no_key_is_refused() {
        let said = |text: &str| text.parse::<Keys>().unwrap_err();
        assert_eq!(said("Hb"), KeysError::NoNote("Hb".to_owned()));
        assert_eq!(said(""), KeysError::NoNote(String::new()));
        assert_eq!(said("Ab4"), KeysError::NoNote("Ab4".to_owned()));
        assert_eq!(said("é"), KeysError::NoNote("é".to_owned()));
        assert_eq!(said("Ab/Eb"), KeysError::TwoKeys("Ab/Eb".to_owned()));
        assert_eq!(said("Ab,G#"), KeysError::Twice("G#".to_owned()));
    }

    #[test]
    fn notes_have_names_all_along_the_line() {
        for name in ["Fbb", "Ebb", "Cb", "F", "C", "B", "F#", "B#", "B##"] {
            assert_eq!(Note::parse(name).unwrap().to_string(), name);
        }
        assert_eq!(Keys::default().nearest(Note::parse("A#").unwrap()).to_string(), "Bb");
    }
}
