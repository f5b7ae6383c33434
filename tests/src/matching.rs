//! Which voice of one score is which of another.

use std::collections::HashSet;

use num_rational::Ratio;

use crate::SoundingNote;

/// What of a note is compared when voices are matched: onset, step and octave.
type Key = (Ratio<i64>, char, i32);

/// A voice and the one that it was matched with.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Match {
    /// The place of the voice among the others that it was matched with.
    pub other: usize,
    /// The places of its notes whose onset, step and octave the other has not.
    pub missing: Vec<usize>,
}

fn key(note: &SoundingNote) -> Key {
    (note.onset, note.step, note.octave)
}

/// Matches every voice with another one, each with its own, so that the most notes agree.
///
/// # Panics
/// If there are more voices than others.
pub fn match_voices(voices: &[Vec<SoundingNote>], others: &[Vec<SoundingNote>]) -> Vec<Match> {
    let sets: Vec<HashSet<Key>> =
        others.iter().map(|notes| notes.iter().map(key).collect()).collect();
    let missing: Vec<Vec<Vec<usize>>> = voices
        .iter()
        .map(|notes| {
            sets.iter()
                .map(|set| (0..notes.len()).filter(|n| !set.contains(&key(&notes[*n]))).collect())
                .collect()
        })
        .collect();
    let mut best = None;
    assign(&missing, &mut Vec::new(), 0, &mut best);
    let (_, places) = best.expect("there are enough others");
    places
        .into_iter()
        .enumerate()
        .map(|(voice, other)| Match { other, missing: missing[voice][other].clone() })
        .collect()
}

/// Tries all ways to match the voices from the next one on; pieces have few.
fn assign(
    missing: &[Vec<Vec<usize>>],
    taken: &mut Vec<usize>,
    cost: usize,
    best: &mut Option<(usize, Vec<usize>)>,
) {
    if best.as_ref().is_some_and(|(least, _)| cost >= *least) {
        return;
    }
    let Some(row) = missing.get(taken.len()) else {
        *best = Some((cost, taken.clone()));
        return;
    };
    for (other, lacking) in row.iter().enumerate() {
        if !taken.contains(&other) {
            taken.push(other);
            assign(missing, taken, cost + lacking.len(), best);
            taken.pop();
        }
    }
}
