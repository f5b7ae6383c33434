//! What the tuning program needs to see of the search.

use notation::{Event, ItemKind, Piece};
use score::Score;

use super::confidence::positions;
use super::likeness::Likeness;
use super::repairs::{Candidate, Kind, Repair};
use super::{search, search::features};
use crate::cost::{
    ALTERED, Against, CONSONANT, EVIDENCE, FEATURES, FINAL, LIKENESS, MOTION, SEQUENCE, Sum, TURN,
};
use crate::place::COARSE;
use crate::texture::Texture;

/// A hypothesis with its features.
pub struct Case {
    /// The voice, as a place in the piece.
    pub voice: usize,
    /// The index of the event.
    pub index: Option<u32>,
    /// The kind of slip.
    pub kind: Kind,
    /// What is read.
    pub repair: Repair,
    /// Its features beyond those of what is typed, as (feature, count).
    pub features: Vec<(u16, f32)>,
}

/// How much dearer than the best a hypothesis may be that is tuned on.
const KEPT: f64 = 30.0;

/// The best hypotheses about a piece, with all that are `wanted`, and the number of places where a
/// slip may be.
pub fn cases(
    piece: &Piece,
    score: &Score,
    weights: &[f32; FEATURES],
    most: usize,
    wanted: impl Fn(&Case) -> bool,
) -> (Vec<Case>, usize) {
    let texture = Texture::new(piece, score);
    let likeness = Likeness::new(&texture);
    let mut found = search(&texture, &likeness, &[], KEPT, weights);
    found.sort_by(|one, other| one.cost.total_cmp(&other.cost));
    let cases = found
        .iter()
        .enumerate()
        .filter_map(|(rank, hypothesis)| {
            let line = &texture.lines[hypothesis.voice];
            let mut case = Case {
                voice: line.place,
                index: index(piece, line.place, line.notes[hypothesis.candidate.at].item),
                kind: hypothesis.candidate.kind,
                repair: hypothesis.candidate.repair,
                features: Vec::new(),
            };
            (rank < most || wanted(&case)).then(|| {
                case.features =
                    counted(&texture, hypothesis.voice, &likeness, &hypothesis.candidate, weights);
                case
            })
        })
        .collect();
    (cases, positions(&texture))
}

/// How often each feature occurs in a piece whose voices are one by one moved by so many
/// `eighths` of a minim against the others.
pub fn counts(piece: &Piece, score: &Score, eighths: i64) -> Box<[f32; FEATURES]> {
    let texture = Texture::new(piece, score);
    let shift = texture.minim / 8 * eighths;
    let mut sum = Sum::nothing();
    for voice in 0..texture.lines.len() {
        let mut against = Against::new(&texture, voice, &[0.0; FEATURES]);
        let notes = &texture.lines[voice].notes;
        let all: Box<[f32; FEATURES]> = search::range(&mut against, notes, 0..notes.len(), shift);
        Sum::add(&mut sum, &all);
    }
    sum
}

/// Weights to begin with: how much more often a feature occurs in voices that are moved, `wrong`,
/// than in those that stand where they belong, `right`, and for features that do not depend on
/// that, how rare they are. Both are counts of the same number of notes.
pub fn first_weights(right: &[f32; FEATURES], wrong: &[f32; FEATURES]) -> [f32; FEATURES] {
    let mut weights = [0.0; FEATURES];
    for (feature, weight) in weights.iter_mut().enumerate() {
        if feature < SEQUENCE || (CONSONANT..MOTION).contains(&feature) {
            *weight = ((wrong[feature] + 4.0) / (right[feature] + 4.0)).ln();
        }
    }
    // How rare a length is after another, against how rare it is at all.
    let total: f32 = right[SEQUENCE..CONSONANT].iter().sum();
    for after in 0..COARSE {
        let column: f32 = (0..COARSE).map(|before| right[SEQUENCE + before * COARSE + after]).sum();
        for before in 0..COARSE {
            let row: f32 = right[SEQUENCE + before * COARSE..][..COARSE].iter().sum();
            let count = right[SEQUENCE + before * COARSE + after];
            let expected = row * column / total.max(1.0);
            weights[SEQUENCE + before * COARSE + after] = ((expected + 4.0) / (count + 4.0)).ln();
        }
    }
    for (from, to) in [(MOTION, TURN), (TURN, ALTERED)] {
        let total: f32 = right[from..to].iter().sum();
        for feature in from..to {
            weights[feature] =
                (total / (to - from) as f32 + 4.0).ln() - (right[feature] + 4.0).ln();
        }
    }
    for (feature, weight) in [0.0, 1.0, 2.0, 5.0].into_iter().enumerate() {
        weights[FINAL + feature] = weight;
    }
    for (feature, weight) in [-0.2, -0.5, 0.2, 0.5].into_iter().enumerate() {
        weights[LIKENESS + feature] = weight;
    }
    for (feature, weight) in [-0.5, 4.0, -0.5, 2.0, -0.5, 4.0].into_iter().enumerate() {
        weights[EVIDENCE + feature] = weight;
    }
    weights
}

pub(crate) fn counted(
    texture: &Texture,
    voice: usize,
    likeness: &Likeness,
    candidate: &Candidate,
    weights: &[f32; FEATURES],
) -> Vec<(u16, f32)> {
    let sum: Box<[f32; FEATURES]> = features(texture, voice, likeness, candidate, weights);
    sum.iter()
        .enumerate()
        .filter(|(_, count)| **count != 0.0)
        .map(|(feature, count)| (feature as u16, *count))
        .collect()
}

fn index(piece: &Piece, voice: usize, item: u32) -> Option<u32> {
    match &piece.voices[voice].items.get(item as usize)?.kind {
        ItemKind::Event(Event { index, .. }) => *index,
        _ => None,
    }
}
