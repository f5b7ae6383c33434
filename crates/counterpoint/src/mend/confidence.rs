//! From costs to probabilities.

use std::collections::HashMap;
use std::rc::Rc;

use super::search::Hypothesis;
use crate::asked::AskedSign;
use crate::slip::{Kind, Repair};
use crate::texture::Texture;
use crate::weights::Weights;

/// An event at which a slip may be, all its readings together.
#[derive(Clone, Debug)]
pub(crate) struct Suspect {
    /// The texture in which it was found, other slips being mended.
    pub(crate) texture: Rc<Texture>,
    /// The item of the event.
    pub(crate) item: usize,
    /// The most likely of its readings.
    pub(crate) best: Hypothesis,
    /// How likely a slip is here.
    pub(crate) probability: f64,
}

impl Suspect {
    fn new(texture: &Rc<Texture>, best: &Hypothesis, probability: f64) -> Suspect {
        let item = texture.lines[best.voice].notes[best.candidate.at].item as usize;
        Suspect { texture: Rc::clone(texture), item, best: best.clone(), probability }
    }

    /// Whether it is about a sign.
    fn is_of_sign(&self) -> bool {
        matches!(self.best.candidate.repair, Repair::Sign(_))
    }

    /// Whether a sign is missing.
    pub(super) fn is_of_missing_sign(&self) -> bool {
        reads_a_sign_more(&self.best)
    }

    /// Whether a sign is missing that the practice of singers surely asks for.
    pub(super) fn is_asked_for(&self) -> bool {
        surely_asked_for(&self.texture, &self.best).is_some()
    }
}

/// The sign that a hypothesis reads, if it is missing and the practice of singers surely asks for it.
fn surely_asked_for(texture: &Texture, hypothesis: &Hypothesis) -> Option<AskedSign> {
    let Hypothesis { voice, candidate, .. } = hypothesis;
    let asked = texture.lines[*voice].notes[candidate.at].facts.asked?;
    (candidate.kind == Kind::AccidentalLeftOut && asked.why.is_certain()).then_some(asked)
}

/// How many events may have a slip. Any of them may, equally likely before the music is looked at.
pub(crate) fn positions(texture: &Texture) -> usize {
    texture.lines.iter().filter(|line| line.written).map(|line| line.notes.len()).sum()
}

/// By how much the differences of cost are made smaller on pieces that were not tuned on, and by
/// how much slips of pitch are dearer there. Found by the tuning program with `--folds`.
const RHYTHM_WARMTH: f64 = 1.0;
const PITCH_WARMTH: f64 = 0.9;
const PITCH_DEARER: f64 = 1.0;

/// How many times likelier it is that a note which clashes is a slip than that it is meant so, or
/// an oversight of the composer's. One slip in five is of the pitch of one note. None of the
/// thirteen clean pieces that were tuned on has a note that sounds like one; by Laplace's rule of
/// succession, that is one piece in fifteen.
const SLIP_RATHER_THAN_MEANT: f64 = 3.0;

/// How likely a printed sign is overlooked. As a rule, signs are left to the singers (common practice):
/// the madrigals that were tuned on have eleven leading notes without the sign that is surely asked for.
/// By what these prints do with their other leading notes, as many are left as where all of 22 signs
/// are printed and may be overlooked, and none was: by Laplace's rule, that is one in 24.
const OVERLOOKED: f64 = 1.0 / 24.0;

/// How likely a sign is left to the singers of which the print does not tell: as likely as not.
const LEFT: f64 = 0.5;

/// Signs that are less likely are not suggested, unless the practice of singers surely asks for them: what
/// voices make with one another seldom decides about a sign, and hints at many.
const LEAST_SIGN: f64 = 0.05;

/// How much less likely another slip is once one is known, against one at all.
const ANOTHER: f64 = 0.1;

/// Hypotheses as likelihoods. These are told against that of the best, so that the longest piece has them
/// too.
struct Likelihoods {
    least: f64,
    /// That there is no slip.
    nothing: f64,
    /// How likely a slip is before the music is looked at, against the first.
    prior: f64,
}

/// What a hypothesis costs on pieces that were not tuned on.
fn calibrated(hypothesis: &Hypothesis) -> f64 {
    if hypothesis.candidate.kind.is_rhythm() {
        hypothesis.cost * RHYTHM_WARMTH
    } else {
        hypothesis.cost * PITCH_WARMTH + PITCH_DEARER
    }
}

impl Likelihoods {
    /// Those of some hypotheses beside so many `known` slips.
    fn of(texture: &Texture, hypotheses: &[Hypothesis], known: usize, weights: &Weights) -> Self {
        let spread = (positions(texture).max(1) as f64).ln();
        let none = f64::from(weights.of(Kind::None)) - spread;
        let least = hypotheses.iter().map(calibrated).fold(none, f64::min);
        Likelihoods { least, nothing: (least - none).exp(), prior: ANOTHER.powi(known as i32) }
    }

    fn odds(&self, hypothesis: &Hypothesis) -> f64 {
        (self.least - calibrated(hypothesis)).exp() * self.prior
    }

    /// The odds of what may also be meant: it is at most so many times likelier a slip.
    fn limited(&self, odds: f64, rather: f64) -> f64 {
        odds / (1.0 + odds / (rather * self.prior * self.nothing).max(f64::MIN_POSITIVE))
    }

    /// The odds that a sign is missing, which may be left to the singers.
    fn of_missing_sign(&self, texture: &Texture, hypothesis: &Hypothesis) -> f64 {
        let asked = surely_asked_for(texture, hypothesis);
        let left = asked.map_or(LEFT, |asked| asked.others.left());
        self.limited(self.odds(hypothesis), OVERLOOKED / left)
    }
}

/// Where hypotheses see slips, the most likely first, and the probability that there is no slip
/// beside the `known` ones. Signs that are missing are [looked at by themselves](forgotten_signs).
pub(crate) fn suspects(
    texture: &Rc<Texture>,
    hypotheses: &[Hypothesis],
    known: usize,
    weights: &Weights,
) -> (Vec<Suspect>, f64) {
    let likelihoods = Likelihoods::of(texture, hypotheses, known, weights);
    // Each place with how likely it is, and how likely by one pitch, which may be meant.
    let mut places: HashMap<(usize, u32), (Suspect, f64)> = HashMap::new();
    let (missing_signs, others): (Vec<&Hypothesis>, Vec<&Hypothesis>) =
        hypotheses.iter().partition(|hypothesis| reads_a_sign_more(hypothesis));
    for hypothesis in others {
        let Hypothesis { voice, candidate, cost } = hypothesis;
        let odds = likelihoods.odds(hypothesis);
        let line = &texture.lines[*voice];
        let item = line.notes[candidate.at].item;
        let (place, one_pitch) = places
            .entry((*voice, item))
            .or_insert_with(|| (Suspect::new(texture, hypothesis, 0.0), 0.0));
        let may_be_meant = candidate.kind.is_of_one_pitch() && !candidate.is_announced(line);
        *(if may_be_meant { one_pitch } else { &mut place.probability }) += odds;
        if *cost < place.best.cost {
            place.best = hypothesis.clone();
        }
    }
    // Where a note is rather another, that it lacks a sign is one reading more.
    for hypothesis in missing_signs {
        let item = texture.lines[hypothesis.voice].notes[hypothesis.candidate.at].item;
        match places.get_mut(&(hypothesis.voice, item)) {
            Some((place, _)) if place.best.cost < hypothesis.cost => {
                place.probability += likelihoods.of_missing_sign(texture, hypothesis);
            }
            _ => {}
        }
    }
    let mut places: Vec<Suspect> = places
        .into_values()
        .map(|(mut place, one_pitch)| {
            place.probability += likelihoods.limited(one_pitch, SLIP_RATHER_THAN_MEANT);
            place
        })
        .collect();
    // In order, so that the sum is the same each time.
    places.sort_by_key(|place| (place.best.voice, place.item));
    // A printed sign against which little speaks is right.
    let least_sign = LEAST_SIGN * (likelihoods.nothing + sum(&places));
    places.retain(|place| !place.is_of_sign() || place.probability >= least_sign);
    let total = likelihoods.nothing + sum(&places);
    (shares(places, total), likelihoods.nothing / total)
}

/// Where signs may be missing. Each is looked at by itself, since a sign that is left to the singers makes
/// no other slip likelier or less likely.
pub(crate) fn forgotten_signs(
    texture: &Rc<Texture>,
    hypotheses: &[Hypothesis],
    weights: &Weights,
) -> Vec<Suspect> {
    let likelihoods = Likelihoods::of(texture, hypotheses, 0, weights);
    let missing = hypotheses.iter().filter(|hypothesis| reads_a_sign_more(hypothesis));
    let signs = missing.map(|hypothesis| {
        let odds = likelihoods.of_missing_sign(texture, hypothesis);
        Suspect::new(texture, hypothesis, odds / (odds + likelihoods.nothing))
    });
    signs.filter(|sign| sign.is_asked_for() || sign.probability >= LEAST_SIGN).collect()
}

fn reads_a_sign_more(hypothesis: &Hypothesis) -> bool {
    hypothesis.candidate.kind == Kind::AccidentalLeftOut
}

fn sum(places: &[Suspect]) -> f64 {
    places.iter().map(|place| place.probability).sum()
}

/// The odds of places as probabilities, the most likely first.
fn shares(mut places: Vec<Suspect>, total: f64) -> Vec<Suspect> {
    for place in &mut places {
        place.probability /= total;
    }
    places.sort_by(|one, other| other.probability.total_cmp(&one.probability));
    places
}
