//! How large a piece may be: far beyond what anyone prints, and small enough that a few letters do
//! not become a score that fills the memory. All limits of a piece are named here; who counts
//! lengths exactly applies the last one again.

use rudiments::Time;

use crate::{Code, Diagnostic, Span};

/// The largest parts file, in bytes.
pub const LARGEST_TEXT: usize = 16 << 20;

/// The most voices that a piece may have.
pub const MOST_VOICES: usize = 64;

/// The most notes and rests that a piece may have, counted rests one by one, and those of a canon
/// as often as they sound.
pub const MOST_EVENTS: usize = 500_000;

/// The most notes and rests of all examples of a file together.
pub(crate) const MOST_EVENTS_OF_ALL: usize = 4 * MOST_EVENTS;

/// The most examples that a file may have.
pub const MOST_EXAMPLES: usize = 1000;

/// The longest text, in bytes, that may hold for all examples: each has its own copy of what it says.
pub(crate) const LARGEST_SHARED: usize = 64 << 10;

/// The most minims that all voices of a piece may last together; see [`longest_voice`].
///
/// A picture of so many, in bars of a semibreve, takes half a gigabyte.
pub const MOST_MINIMS: i64 = 500_000;

/// The most marks of a piece, and the most notes and rests at which all of them together may be: each
/// is drawn in every system that it reaches.
pub const MOST_MARKS: usize = 1000;

/// See [`MOST_MARKS`].
pub const MOST_MARKED: usize = MOST_EVENTS / 10;

/// What the end of a section counts as in the length of a voice: it may make a bar of its own.
pub const SECTION_END: Time = Time::minims(4);

/// How long a voice may be in a piece of so many. All voices last as long as the longest, if only
/// in silence, so each may have an equal share of [`MOST_MINIMS`]: four hours of music, at two minims
/// a second, for up to seventeen voices.
pub fn longest_voice(voices: usize) -> Time {
    Time::minims(MOST_MINIMS / voices.clamp(1, MOST_VOICES) as i64)
}

/// That a voice is longer than it may be, said where it becomes so.
pub fn too_long(span: Span, longest: Time) -> Diagnostic {
    let message = format!("this voice is longer than {longest} minims, as long as it may be");
    Diagnostic::new(Code::TooLarge, span, message)
        .help("put each piece into a file of its own; what follows in this voice is not read")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_hours_of_music() {
        let four_hours = Time::minims(4 * 60 * 60 * 2);
        assert!(longest_voice(17) >= four_hours && longest_voice(0) >= four_hours);
        assert_eq!(longest_voice(1000), longest_voice(MOST_VOICES));
    }
}
