//! Letters that have two places on the staff, and the places of letters.

use rudiments::{Clef, Step, Tone};

use crate::Span;

/// A bare letter that has two places on the staff, neither of them near the note before.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Undecided {
    /// Its voice, as a place in [`Piece::voices`](crate::Piece::voices).
    pub voice: usize,
    /// Its note, as a place among the items of the voice; nothing for a direct.
    pub item: Option<usize>,
    /// Where the word stands.
    pub span: Span,
    /// The byte before which its octave is typed.
    pub at: u32,
    /// The lower of the two.
    pub low: Tone,
    /// The higher of the two.
    pub high: Tone,
    /// The one that is taken until its octave is typed.
    pub taken: Tone,
    /// The note before, as it is read.
    pub previous: Option<Tone>,
    /// The notes after it whose place depends on its own: which items, and where they would stand
    /// if it stood at the other place.
    pub run: Vec<(usize, Tone)>,
}

impl Undecided {
    /// The one that is not taken.
    pub fn other(&self) -> Tone {
        if self.taken == self.low { self.high } else { self.low }
    }
}

/// A clef under which so many letters have two places, or lie so far apart, that another was meant.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct DoubtfulClef {
    /// The voice, as a place in [`Piece::voices`](crate::Piece::voices).
    pub voice: usize,
    /// The clef that is typed.
    pub typed: Clef,
    /// The clef under which the letters go on without leaps.
    pub fitting: Clef,
    /// How many letters have two places, or leap by a seventh or more, under the one and the other.
    pub troubles: [usize; 2],
}

/// The tone of a bare letter: its one place on the staff, or that of two which lies within a third
/// of the previous note; otherwise both, the lower first.
pub(crate) fn bare_letter(
    clef: Clef,
    step: Step,
    previous: Option<Tone>,
) -> Result<Tone, (Tone, Tone)> {
    let (low, high) = clef.on_staff(step);
    let Some(high) = high else { return Ok(low) };
    let within_a_third =
        |tone: Tone| previous.is_some_and(|previous| tone.steps_above(previous).abs() <= 2);
    if within_a_third(low) {
        Ok(low)
    } else if within_a_third(high) {
        Ok(high)
    } else {
        Err((low, high))
    }
}

/// The one of two tones that is taken until it is decided: the nearer to the note before.
pub(crate) fn nearer(low: Tone, high: Tone, previous: Option<Tone>) -> Tone {
    let far = |tone: Tone| previous.map(|near| tone.steps_above(near).abs());
    if far(high) < far(low) { high } else { low }
}
