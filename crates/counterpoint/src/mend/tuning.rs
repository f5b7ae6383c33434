//! What the tuning program needs to see of the search.

use notation::{Event, ItemKind, Piece};
use score::Score;

use super::confidence::positions;
use super::practice;
use super::search::{features, search};
use crate::against::Against;
use crate::melodies::Melodies;
use crate::rules::rule::Prior;
use crate::slip::{Kind, Repair};
use crate::sum::{Counts, Sum};
use crate::texture::Texture;
use crate::weights::{Weights, groups};

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
    /// How often more it has each kind of observation than what is typed, by the place of its
    /// weight.
    pub features: Vec<(u16, f32)>,
}

/// How much dearer than the best a hypothesis may be that is tuned on.
const KEPT: f64 = 30.0;

/// The best hypotheses about a piece that was parsed from a text, with all that are `wanted`, and the number of places where a
/// slip may be.
pub fn cases(
    text: &str,
    piece: &Piece,
    score: &Score,
    weights: &Weights,
    most: usize,
    wanted: impl Fn(&Case) -> bool,
) -> (Vec<Case>, usize) {
    let mut texture = Texture::of_text(text, piece, score);
    let melodies = Melodies::new(&texture);
    practice::ask(&mut texture, score);
    let mut found = search(&texture, &melodies, &[], KEPT, weights);
    found.sort_by(|one, other| one.cost.total_cmp(&other.cost));
    let cases = found
        .iter()
        .enumerate()
        .filter_map(|(rank, hypothesis)| {
            let line = &texture.lines[hypothesis.voice];
            let candidate = &hypothesis.candidate;
            let mut case = Case {
                voice: line.place,
                index: index(piece, line.place, line.notes[candidate.at].item),
                kind: candidate.kind,
                repair: candidate.repair,
                features: Vec::new(),
            };
            (rank < most || wanted(&case)).then(|| {
                let sum = features(&texture, hypothesis.voice, &melodies, candidate, weights);
                case.features = nonzero(&sum.0);
                case
            })
        })
        .collect();
    (cases, positions(&texture))
}

/// The features of a clean piece, where no slip is.
pub fn no_slip() -> Vec<(u16, f32)> {
    let mut none = Counts(Weights::nothing());
    none.count(Kind::None);
    nonzero(&none.0)
}

/// How often each kind of observation occurs in a piece whose voices are one by one moved by so many
/// `eighths` of a minim against the others.
pub fn counts(piece: &Piece, score: &Score, eighths: i64) -> Weights {
    let texture = Texture::new(piece, score);
    let shift = texture.minim / 8 * eighths;
    let mut sum = Counts(Weights::nothing());
    for voice in 0..texture.lines.len() {
        let mut against = Against::new(&texture, voice);
        let notes = &texture.lines[voice].notes;
        against.stretch(notes, 0..notes.len(), shift, &mut sum, |_| ());
    }
    sum.0
}

/// The places of the weights of a rule, or of one of its kinds: `inflection`, `slip/sign left out`.
pub fn places(of: &str) -> Vec<usize> {
    let (rule, kind) = of.split_once('/').map_or((of, None), |(rule, kind)| (rule, Some(kind)));
    let all = groups().into_iter().flat_map(|group| {
        let is_it = group.name == rule;
        let kinds = group.kinds.into_iter();
        kinds.map(move |name| is_it && kind.is_none_or(|kind| kind == name))
    });
    all.enumerate().filter(|(_, is_it)| *is_it).map(|(place, _)| place).collect()
}

/// What is noticed at one moment says much the same; so each counts for less than by itself.
const SHARE: f32 = 0.6;

/// Weights to begin with, as each rule says: `wrong` is how often each kind of observation occurs
/// where voices are moved, `right` where they stand where they belong. Both are counts of the same
/// number of notes.
pub fn first_weights(right: &Weights, wrong: &Weights) -> Weights {
    let mut weights = Weights::nothing();
    let mut from = 0;
    for group in groups() {
        let range = from..from + group.kinds.len();
        from = range.end;
        let (right, wrong) = (&right.values()[range.clone()], &wrong.values()[range.clone()]);
        begin(group.prior, right, wrong, &mut weights.values_mut()[range]);
    }
    weights
}

/// The first weights of one rule.
fn begin(prior: Prior, right: &[f32], wrong: &[f32], weights: &mut [f32]) {
    let total: f32 = right.iter().sum();
    match prior {
        Prior::Nothing => {}
        Prior::Given(given) => weights.copy_from_slice(given),
        Prior::Displaced => {
            for (weight, (right, wrong)) in weights.iter_mut().zip(right.iter().zip(wrong)) {
                *weight = SHARE * ((wrong + 4.0) / (right + 4.0)).ln();
            }
        }
        Prior::Rare => {
            let mean = (total / right.len() as f32 + 4.0).ln();
            for (weight, right) in weights.iter_mut().zip(right) {
                *weight = SHARE * (mean - (right + 4.0).ln());
            }
        }
        // How rare the second is after the first, against how rare it is at all.
        Prior::Following(seconds) => {
            for (place, weight) in weights.iter_mut().enumerate() {
                let (first, second) = (place / seconds, place % seconds);
                let row: f32 = right[first * seconds..][..seconds].iter().sum();
                let column: f32 = right.iter().skip(second).step_by(seconds).sum();
                let expected = row * column / total.max(1.0);
                *weight = SHARE * ((expected + 4.0) / (right[place] + 4.0)).ln();
            }
        }
    }
}

fn nonzero(counts: &Weights) -> Vec<(u16, f32)> {
    let counts = counts.values().iter().enumerate();
    counts
        .filter(|(_, count)| **count != 0.0)
        .map(|(place, count)| (place as u16, *count))
        .collect()
}

fn index(piece: &Piece, voice: usize, item: u32) -> Option<u32> {
    match &piece.voices[voice].items.get(item as usize)?.kind {
        ItemKind::Event(Event { index, .. }) => *index,
        _ => None,
    }
}
