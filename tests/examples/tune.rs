//! Tunes the weights by which `mend` weighs readings, on the development pieces alone.
//!
//! `cargo run --release --example tune > weights.tsv`, and then in the place of
//! `crates/counterpoint/src/weights.tsv`. Rules that were added since weigh something from then on;
//! how the weights of each begin stands in its file. With `--folds` it says what such weights are worth on
//! pieces that they were not tuned on, and finds the constants of
//! `crates/counterpoint/src/mend/confidence.rs`.
//!
//! `--only inflection "slip/sign left out"` tunes the weights of these rules and kinds, and leaves all
//! others as they are: for a rule that was added since.
//!
//! The weights begin as log-odds: how much more often a feature occurs where a voice is moved
//! against the others than where it stands. Then they are fitted by conditional logistic
//! regression (D. `McFadden`, "Conditional logit analysis of qualitative choice behavior", 1974; from
//! memory): slips are planted, the search names its best hypotheses, and the weights are moved so
//! that the planted ones become the most likely. Weights are drawn towards where they began, so
//! that rare features keep what counting says of them.

use counterpoint::mend::Kind as Slip;
use counterpoint::mend::tuning::{Case, cases, counts, first_weights, no_slip, places};
use counterpoint::weights::Weights;
use suite::opendata;
use suite::slips::{
    Group, Kind, Material, Planted, RHYTHM, development, planted, scored, text_of_slots,
};

/// Rounds of searching and fitting.
const ROUNDS: usize = 2;

/// Steps of fitting in a round.
const STEPS: usize = 250;

/// How strongly weights are drawn to where they began, against one case.
const DRAWN: f32 = 5.0;

/// The same where only some weights are tuned, and those of the others stand already.
const DRAWN_ALONE: f32 = 0.5;

/// Hypotheses that are weighed in each case.
const WEIGHED: usize = 250;

/// A clean piece counts as much as so many slips: there are few of them.
const CLEAN: f32 = 12.0;

/// What speaks for a sign is told apart in many kinds: slips of signs are planted so many times as often,
/// and each counts for as much less.
const SIGNS: usize = 4;

/// Parts into which the pieces are divided to see what the weights are worth.
const FOLDS: usize = 3;

const SEED: u64 = 1558;

/// A slip and the hypotheses about it.
struct Choice {
    /// Features of each hypothesis, no slip last.
    features: Vec<Vec<(u16, f32)>>,
    right: Vec<bool>,
    /// Whether it is a slip of pitch.
    pitch: Vec<bool>,
    /// ln of the number of places.
    spread: f32,
    importance: f32,
}

impl Choice {
    /// How likely each hypothesis is, against the best.
    fn likeness(&self, weights: &Weights, calibration: Calibration) -> Vec<f32> {
        let last = self.features.len() - 1;
        let cost = |(number, features): (usize, &Vec<(u16, f32)>)| {
            let weights = weights.values();
            let sum: f32 =
                features.iter().map(|(feature, count)| weights[*feature as usize] * count).sum();
            if number == last {
                sum - self.spread
            } else if self.pitch[number] {
                sum * calibration.pitch_warmth + calibration.pitch_more
            } else {
                sum * calibration.rhythm_warmth + calibration.rhythm_more
            }
        };
        let costs: Vec<f32> = self.features.iter().enumerate().map(cost).collect();
        let least = costs.iter().copied().fold(f32::INFINITY, f32::min);
        costs.iter().map(|cost| (least - cost).exp()).collect()
    }
}

fn main() {
    let Some(opendata) = opendata() else { return };
    let pieces = development(&opendata);
    let given: Vec<String> = std::env::args().skip(1).collect();
    match given.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["--folds"] => folds(&pieces),
        ["--only", rules @ ..] => {
            let only: Vec<usize> = rules.iter().flat_map(|rule| places(rule)).collect();
            print!("{}", tuned(&pieces, Some(&only)));
        }
        _ => print!("{}", tuned(&pieces, None)),
    }
}

/// The weights tuned on some pieces; the others are as they were if only some places are tuned.
fn tuned(pieces: &[Material], only: Option<&[usize]>) -> Weights {
    let mut weights = begin(pieces);
    if let Some(only) = only {
        for (place, weight) in weights.values_mut().iter_mut().enumerate() {
            if !only.contains(&place) {
                *weight = Weights::tuned().values()[place];
            }
        }
    }
    let is_open = |place: usize| only.is_none_or(|only| only.contains(&place));
    let open: Vec<bool> = (0..weights.values().len()).map(is_open).collect();
    let first = weights.clone();
    for round in 0..ROUNDS {
        let choices = choices(pieces, &weights, round as u64);
        eprintln!("round {round}: {} cases", choices.len());
        let drawn = if only.is_some() { DRAWN_ALONE } else { DRAWN };
        fit(&choices, (&first, drawn), &open, &mut weights);
    }
    weights
}

/// Tunes on two thirds of the pieces and looks at the last third, three times: so it is known what
/// the weights are worth on pieces that they were not tuned on, without looking at those that are
/// reported on.
fn folds(pieces: &[Material]) {
    let mut tests = Vec::new();
    for fold in 0..FOLDS {
        let part = |inside: bool| -> Vec<Material> {
            let of = |(place, _): &(usize, &Material)| (place % FOLDS == fold) == inside;
            pieces.iter().enumerate().filter(of).map(|(_, piece)| piece.clone()).collect()
        };
        let weights = tuned(&part(false), None);
        let test = choices(&part(true), &weights, 1000);
        tests.push((weights, test));
    }
    let mut best = (f32::INFINITY, Calibration::NONE);
    for rhythm_warmth in [0.6, 0.7, 0.8, 0.9, 1.0] {
        for pitch_warmth in [0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0] {
            for rhythm_more in [0.0, 1.0] {
                for pitch_more in [-1.0, 0.0, 1.0, 2.0, 3.0] {
                    let calibration =
                        Calibration { rhythm_warmth, pitch_warmth, rhythm_more, pitch_more };
                    let loss = held_out(&tests, calibration, false);
                    if loss < best.0 {
                        best = (loss, calibration);
                    }
                }
            }
        }
    }
    held_out(&tests, Calibration::NONE, true);
    held_out(&tests, best.1, true);
}

/// How costs are turned into likelihoods: `warmth` makes all differences smaller, `more` makes
/// slips of that family dearer.
#[derive(Clone, Copy, Debug)]
struct Calibration {
    rhythm_warmth: f32,
    pitch_warmth: f32,
    rhythm_more: f32,
    pitch_more: f32,
}

impl Calibration {
    const NONE: Calibration =
        Calibration { rhythm_warmth: 1.0, pitch_warmth: 1.0, rhythm_more: 0.0, pitch_more: 0.0 };
}

/// The loss on pieces that were not tuned on.
fn held_out(tests: &[(Weights, Vec<Choice>)], calibration: Calibration, say: bool) -> f32 {
    let (mut slips, mut clean, mut cases, mut alarms) = (0.0, 0.0, 0, 0);
    let (mut count, mut first) = (0, 0);
    for (weights, test) in tests {
        for choice in test {
            let likeness = choice.likeness(weights, calibration);
            let all: f32 = likeness.iter().sum();
            let best = likeness.iter().copied().fold(0.0, f32::max);
            let pairs = likeness.iter().zip(&choice.right);
            let right: f32 = pairs.filter(|(_, right)| **right).map(|(l, _)| l).sum();
            let loss = -(right / all).max(1e-9).ln();
            if choice.importance > 1.0 {
                clean += loss;
                count += 1;
                alarms += usize::from(best / all > 0.5 && right < best);
            } else {
                slips += loss;
                cases += 1;
                first += usize::from(right >= best);
            }
        }
    }
    if say {
        eprintln!(
            "{calibration:?}: {:.3} a slip, {:.1} % first; {:.3} a clean piece, {alarms} alarms of {count}",
            slips / cases as f32,
            100.0 * first as f32 / cases as f32,
            clean / count as f32
        );
    }
    slips + CLEAN * 2.0 * clean
}

/// The log-odds of counting.
fn begin(pieces: &[Material]) -> Weights {
    let (mut right, mut wrong) = (Weights::nothing(), Weights::nothing());
    let shifts = [-16, -12, -8, -6, -4, -2, 2, 4, 6, 8, 12, 16];
    for piece in pieces {
        let (piece, score) = scored(&text_of_slots(&piece.voices));
        let add = |sum: &mut Weights, eighths: i64, share: f32| {
            let counts = counts(&piece, &score, eighths);
            let pairs = sum.values_mut().iter_mut().zip(counts.values());
            pairs.for_each(|(sum, count)| *sum += count * share);
        };
        add(&mut right, 0, 1.0);
        for eighths in &shifts {
            add(&mut wrong, *eighths, 1.0 / shifts.len() as f32);
        }
    }
    first_weights(&right, &wrong)
}

fn choices(pieces: &[Material], weights: &Weights, round: u64) -> Vec<Choice> {
    let mut choices = Vec::new();
    for piece in pieces {
        let (rhythm, pitch) = match piece.group {
            Group::Madrigals => (14, 10),
            Group::Duos | Group::Threes => (6, 4),
        };
        let seed = SEED + round * 7;
        // A note is put a step away far more often than two are exchanged, or a sign is typed that nobody
        // sees.
        let amounts: [(&[Kind], usize, f32); 7] = [
            (&RHYTHM, rhythm, 1.0),
            (&[Kind::Third, Kind::Octave, Kind::WrongClef], pitch, 1.0),
            (&[Kind::Step], pitch * 3, 1.0),
            (&[Kind::Exchanged], pitch / 4, 1.0),
            (&[Kind::AccidentalLeftOut], pitch * SIGNS, 1.0 / SIGNS as f32),
            (&[Kind::AccidentalTooMany], pitch / 4 * SIGNS, 1.0 / SIGNS as f32),
            (&[Kind::CadenceSignLeftOut], pitch * SIGNS, 1.0 / SIGNS as f32),
        ];
        for (number, (kinds, each, importance)) in amounts.into_iter().enumerate() {
            let slips = planted(piece, kinds, each, seed + number as u64);
            let weighed = slips.iter().filter_map(|slip| choice(piece, Some(slip), weights));
            choices.extend(weighed.map(|choice| Choice { importance, ..choice }));
        }
        choices.extend(choice(piece, None, weights));
    }
    choices
}

fn choice(piece: &Material, slip: Option<&Planted>, weights: &Weights) -> Option<Choice> {
    let voices = slip.map_or(&piece.voices, |slip| &slip.voices);
    let text = text_of_slots(voices);
    let (piece, score) = scored(&text);
    let wanted = |case: &Case| slip.is_some_and(|slip| is_right(case, slip));
    let (found, positions) = cases(&text, &piece, &score, weights, WEIGHED, wanted);
    let mut right: Vec<bool> = found.iter().map(wanted).collect();
    if slip.is_some() && !right.contains(&true) {
        return None;
    }
    right.push(slip.is_none());
    let pitch = found.iter().map(|case| !case.kind.is_rhythm()).collect();
    let mut features: Vec<Vec<(u16, f32)>> = found.into_iter().map(|case| case.features).collect();
    features.push(no_slip());
    let spread = (positions as f32).ln();
    let importance = if slip.is_some() { 1.0 } else { CLEAN };
    Some(Choice { features, right, pitch, spread, importance })
}

fn is_right(case: &Case, slip: &Planted) -> bool {
    let kind = match slip.kind {
        Kind::Halved => case.kind == Slip::ValueHalved,
        Kind::Doubled => case.kind == Slip::ValueDoubled,
        Kind::DotMissing => case.kind == Slip::DotMissing,
        Kind::DotTooMany => case.kind == Slip::DotTooMany,
        Kind::NoteLeftOut => case.kind == Slip::NoteLeftOut,
        Kind::RestLeftOut => {
            matches!(case.kind, Slip::RestLeftOut | Slip::RestBetweenNotesLeftOut)
        }
        Kind::TypedTwice => {
            matches!(case.kind, Slip::NoteTwice | Slip::RestTwice | Slip::RestTooMany)
        }
        Kind::PairHalved => case.kind == Slip::PairHalved,
        Kind::PairDoubled => case.kind == Slip::PairDoubled,
        Kind::LineLeftOut => case.kind == Slip::LineLeftOut,
        Kind::WordLeftOut => case.kind == Slip::ValueWordLeftOut,
        Kind::WordWrong | Kind::WordTooMany => {
            matches!(case.kind, Slip::ValueWordWrong | Slip::ValueWordTooMany)
        }
        Kind::Step => case.kind == Slip::Step,
        Kind::Third => case.kind == Slip::Third,
        Kind::Octave => case.kind == Slip::Octave,
        Kind::WrongClef => case.kind == Slip::WrongClef,
        Kind::Exchanged => case.kind == Slip::Exchanged,
        Kind::AccidentalLeftOut | Kind::CadenceSignLeftOut => case.kind == Slip::AccidentalLeftOut,
        Kind::AccidentalTooMany => case.kind == Slip::AccidentalTooMany,
    };
    kind && case.voice == slip.voice && case.index == Some(slip.index)
}

/// Fits the weights to the choices, by gradient steps of adapted size (Adam: Kingma, Ba, 2015).
fn fit(choices: &[Choice], (first, drawn): (&Weights, f32), open: &[bool], weights: &mut Weights) {
    let count = first.values().len();
    let (mut mean, mut square) = (vec![0.0_f32; count], vec![0.0_f32; count]);
    for step in 1..=STEPS {
        let mut gradient = vec![0.0_f32; count];
        let mut loss = 0.0;
        for choice in choices {
            loss += push(choice, weights, &mut gradient);
        }
        let all = weights.values_mut().iter_mut().zip(open).enumerate();
        for (feature, (weight, _)) in all.filter(|(_, (_, open))| **open) {
            gradient[feature] += drawn * (*weight - first.values()[feature]);
            mean[feature] = 0.9 * mean[feature] + 0.1 * gradient[feature];
            square[feature] = 0.99 * square[feature] + 0.01 * gradient[feature].powi(2);
            let corrected = mean[feature] / (1.0 - 0.9_f32.powi(step as i32));
            let size = (square[feature] / (1.0 - 0.99_f32.powi(step as i32))).sqrt();
            *weight -= 0.02 * corrected / (size + 1e-6);
        }
        if step % 50 == 0 || step == 1 {
            eprintln!("  step {step}: {:.4} a case", loss / choices.len() as f32);
        }
    }
}

/// Adds what a choice asks of the weights to the gradient; gives its loss.
fn push(choice: &Choice, weights: &Weights, gradient: &mut [f32]) -> f32 {
    let likeness = choice.likeness(weights, Calibration::NONE);
    let all: f32 = likeness.iter().sum();
    let right: f32 =
        likeness.iter().zip(&choice.right).filter(|(_, right)| **right).map(|(l, _)| l).sum();
    let right = right.max(1e-20);
    for (number, features) in choice.features.iter().enumerate() {
        let wanted = if choice.right[number] { likeness[number] / right } else { 0.0 };
        let pull = (wanted - likeness[number] / all) * choice.importance;
        if pull.abs() > 1e-6 {
            for (feature, count) in features {
                gradient[*feature as usize] += pull * count;
            }
        }
    }
    (all / right).ln() * choice.importance
}
