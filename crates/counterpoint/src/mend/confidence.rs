//! From costs to probabilities.

use std::collections::HashMap;
use std::rc::Rc;

use super::search::Hypothesis;
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
    /// Whether it is about a sign.
    fn is_of_sign(&self) -> bool {
        matches!(self.best.candidate.repair, Repair::Sign(_))
    }

    /// Whether a sign is missing that the practice of singers surely asks for.
    pub(super) fn is_asked_for(&self) -> bool {
        let Hypothesis { voice, candidate, .. } = &self.best;
        let asked = self.texture.lines[*voice].notes[candidate.at].facts.asked;
        candidate.kind == Kind::AccidentalLeftOut
            && asked.is_some_and(|asked| asked.why.is_certain())
    }
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

/// The same of a note without a sign: as a rule, signs are left to the singers (common practice). The
/// madrigals that were tuned on have eleven leading notes without the sign that is surely asked for,
/// and none of these was overlooked: by Laplace's rule, that is one in thirteen.
const OVERLOOKED_RATHER_THAN_LEFT: f64 = 1.0 / 12.0;

/// Signs that are less likely are not suggested, unless the practice of singers surely asks for them: what
/// voices make with one another seldom decides about a sign, and hints at many.
const LEAST_SIGN: f64 = 0.05;

/// How much less likely another slip is once one is known, against one at all.
const ANOTHER: f64 = 0.1;

/// Where hypotheses see slips, the most likely first, and the probability that there is no slip
/// beside the `known` ones.
pub(crate) fn suspects(
    texture: &Rc<Texture>,
    hypotheses: Vec<Hypothesis>,
    known: usize,
    weights: &Weights,
) -> (Vec<Suspect>, f64) {
    let spread = (positions(texture).max(1) as f64).ln();
    let none = f64::from(weights.of(Kind::None)) - spread;
    let calibrated = |hypothesis: &Hypothesis| {
        if hypothesis.candidate.kind.is_rhythm() {
            hypothesis.cost * RHYTHM_WARMTH
        } else {
            hypothesis.cost * PITCH_WARMTH + PITCH_DEARER
        }
    };
    // Likelihoods are told against the best reading, so that the longest piece has them too.
    let least = hypotheses.iter().map(calibrated).fold(none, f64::min);
    let nothing = (least - none).exp();
    let prior = ANOTHER.powi(known as i32);
    let meant = [SLIP_RATHER_THAN_MEANT, OVERLOOKED_RATHER_THAN_LEFT]
        .map(|rather| (rather * prior * nothing).max(f64::MIN_POSITIVE));
    // Each place with how likely it is by rhythm and by longer stretches, and by what may be meant: one
    // pitch, or that there is no sign.
    let mut places: HashMap<(usize, u32), (Suspect, [f64; 2])> = HashMap::new();
    for hypothesis in hypotheses {
        let kind = hypothesis.candidate.kind;
        let odds = (least - calibrated(&hypothesis)).exp() * prior;
        let line = &texture.lines[hypothesis.voice];
        let item = line.notes[hypothesis.candidate.at].item;
        let (voice, own) = (hypothesis.voice, hypothesis.cost);
        let announced = hypothesis.candidate.is_announced(line);
        let (place, may_be_meant) = places.entry((voice, item)).or_insert_with(|| {
            let texture = Rc::clone(texture);
            let best = hypothesis.clone();
            (Suspect { texture, item: item as usize, best, probability: 0.0 }, [0.0; 2])
        });
        *(if announced || !kind.is_of_one_pitch() {
            &mut place.probability
        } else {
            &mut may_be_meant[usize::from(kind == Kind::AccidentalLeftOut)]
        }) += odds;
        if own < place.best.cost {
            place.best = hypothesis;
        }
    }
    let mut places: Vec<Suspect> = places
        .into_values()
        .map(|(mut place, may_be_meant)| {
            let limited =
                may_be_meant.iter().zip(meant).map(|(odds, most)| odds / (1.0 + odds / most));
            place.probability += limited.sum::<f64>();
            place
        })
        .collect();
    // In order, so that the sum is the same each time.
    places.sort_by_key(|place| (place.best.voice, place.item));
    // Where little speaks for a sign that is missing, it may be left to the singers, which remains a
    // reading of its own; a printed one against which little speaks is right.
    let sum = |places: &[Suspect]| places.iter().map(|place| place.probability).sum::<f64>();
    let least_sign = LEAST_SIGN * (nothing + sum(&places));
    let is_hint = |place: &mut Suspect| {
        place.is_of_sign() && !place.is_asked_for() && place.probability < least_sign
    };
    let left: f64 = places
        .extract_if(.., is_hint)
        .filter(|place| place.best.candidate.kind == Kind::AccidentalLeftOut)
        .map(|place| place.probability)
        .sum();
    let total = nothing + left + sum(&places);
    for place in &mut places {
        place.probability /= total;
    }
    places.sort_by(|one, other| other.probability.total_cmp(&one.probability));
    (places, nothing / total)
}
