//! Pieces to be measured.

use notation::parse;
use rudiments::{Pitch, Step, Tone};
use score::{BarLength, align, reckon};
use sound::{Frame, Performance, PlayedVoice, Playing, Rendering, Room, perform, render};

/// The rate of everything here.
pub(crate) const RATE: f64 = 44_100.0;

/// `Eb4`.
pub(crate) fn pitch(name: &str) -> Pitch {
    let mut letters = name.chars();
    let step = letters.next().and_then(Step::from_letter).unwrap();
    let rest = letters.as_str();
    let alteration = if rest.starts_with('#') { 1 } else { -i8::from(rest.starts_with('b')) };
    let octave = rest.trim_start_matches(['#', 'b']).parse().unwrap();
    Pitch::new(Tone::new(step, octave), alteration)
}

/// The voices of a parts file as they are played, all in the middle.
pub(crate) fn performance(text: &str) -> Performance {
    let piece = parse(text).piece;
    let score = align(&piece, reckon(&piece), BarLength::Breve).score;
    let mut performance = perform(&score, &Playing::exact(), None);
    performance.voices.fill(PlayedVoice { loudness: 1.0, pan: 0.0 });
    performance
}

/// The instrument alone: no room, no gentle start.
pub(crate) fn dry() -> Rendering {
    Rendering { room: Room::None, gentle: false, ..Rendering::default() }
}

/// All frames.
pub(crate) fn frames(performance: &Performance, rendering: &Rendering) -> Vec<Frame> {
    let mut samples = render(performance, rendering).unwrap();
    let mut all = Vec::new();
    while let Some(block) = samples.next_block() {
        all.extend_from_slice(block);
    }
    assert_eq!(all.len() as u64, samples.frames());
    all
}

/// What is heard on the left.
pub(crate) fn left(performance: &Performance, rendering: &Rendering) -> Vec<f64> {
    frames(performance, rendering).into_iter().map(|[left, _]| left).collect()
}
