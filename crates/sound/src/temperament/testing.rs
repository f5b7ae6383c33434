//! Pitches and performances for tests.

use notation::parse;
use rudiments::{Pitch, Step, Tone};
use score::{BarLength, Performance, align, reckon};

use crate::{Playing, perform};

/// `Eb4`.
pub(crate) fn pitch(name: &str) -> Pitch {
    let mut letters = name.chars();
    let step = letters.next().and_then(Step::from_letter).unwrap();
    let alteration = match letters.as_str().chars().next() {
        Some('#') => 1,
        Some('b') => -1,
        _ => 0,
    };
    let octave = letters.as_str().trim_start_matches(['#', 'b']).parse().unwrap();
    Pitch::new(Tone::new(step, octave), alteration)
}

/// The voices of a parts file as they are played.
pub(crate) fn performance(text: &str) -> Performance {
    let piece = parse(text).piece;
    let score = align(&piece, reckon(&piece), BarLength::Breve).score;
    perform(&score, &Playing::exact(), None)
}
