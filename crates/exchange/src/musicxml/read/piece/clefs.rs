//! The clefs of a voice, and clefs that fit where the file has none that a parts file has.

use rudiments::{Clef, ClefShape, Time, Tone};

use crate::musicxml::read::voices::{Timed, Voice};

/// The clef of a voice without notes.
pub(super) const USUAL: Clef = Clef { shape: ClefShape::C, line: 3 };

/// The clefs in common use for voices of this repertory, from the highest (common practice).
const COMMON: [Clef; 5] = [
    Clef { shape: ClefShape::G, line: 2 },
    Clef { shape: ClefShape::C, line: 1 },
    Clef { shape: ClefShape::C, line: 3 },
    Clef { shape: ClefShape::C, line: 4 },
    Clef { shape: ClefShape::F, line: 4 },
];

/// The clefs of a voice, from its beginning, each other than the one before.
pub(super) fn fitting(voice: &Voice) -> Vec<(Time, Clef)> {
    let mut given = voice.clefs.clone();
    if given.first().is_none_or(|(at, _)| at.is_positive()) {
        given.insert(0, (Time::ZERO, None));
    }
    let mut clefs: Vec<(Time, Clef)> = Vec::new();
    for (place, (from, clef)) in given.iter().enumerate() {
        let to = given.get(place + 1).map(|(to, _)| *to);
        if to == Some(*from) {
            continue;
        }
        let clef = clef.unwrap_or_else(|| {
            let first = voice.notes.partition_point(|note| note.onset < *from);
            let last = to.map_or(voice.notes.len(), |to| {
                voice.notes.partition_point(|note| note.onset < to)
            });
            best(&voice.notes[first..last])
        });
        if clefs.last().is_none_or(|(_, before)| *before != clef) {
            clefs.push((*from, clef));
        }
    }
    clefs
}

/// The clef under which the fewest ledger lines are needed.
fn best(notes: &[Timed]) -> Clef {
    let tones: Vec<Tone> =
        notes.iter().flat_map(|note| &note.heads).map(|head| head.pitch.tone).collect();
    if tones.is_empty() {
        return USUAL;
    }
    let lowest = tones.iter().min().copied().unwrap_or_else(|| USUAL.tone_at(1));
    let highest = tones.iter().max().copied().unwrap_or(lowest);
    let outside = |clef: &Clef| {
        let beyond = |tone: &Tone| {
            let place = clef.place_of(*tone);
            (1 - place).max(place - 11).max(0) as i64
        };
        let sum: i64 = tones.iter().map(beyond).sum();
        // Of equals, that which has the voice in the middle of the staff.
        (sum, (clef.place_of(lowest) + clef.place_of(highest) - 12).abs())
    };
    COMMON.into_iter().min_by_key(outside).unwrap_or(USUAL)
}
