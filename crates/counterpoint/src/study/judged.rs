//! A piece judged by the rules of a date.

use notation::Piece;
use score::Score;

use super::figures::{Dissonances, dissonances};
use super::findings::{Finding, findings};
use super::moments::Moments;
use super::rules::RuleSet;
use super::species::{Exercise, Exercises};
use super::suspension::{Suspension, suspensions};
use crate::texture::Texture;

/// The dissonances of a piece and their figures, and everything that a rule set finds.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Judged {
    /// All dissonances.
    pub dissonances: Dissonances,
    /// Faults, licences and remarks, in order of time.
    pub findings: Vec<Finding>,
    /// The voices that are counterpoint against a cantus firmus, and their species.
    pub exercises: Vec<Exercise>,
}

/// Judges a piece by a rule set.
///
/// ```
/// use counterpoint::study::{RuleSet, judge};
/// use score::{BarLength, align, reckon};
///
/// let text = "\
/// voice Cantus clef C1
///   sb A4 B4 C5 lg A
/// voice Tenor clef C4
///   sb D4 E4 A3 lg D4
/// ";
/// let piece = notation::parse(text).piece;
/// let score = align(&piece, reckon(&piece), BarLength::Breve).score;
///
/// let judged = judge(&piece, &score, RuleSet::About1560);
/// let said: Vec<String> = judged.findings.iter().map(|found| found.sentence(&score)).collect();
/// assert_eq!(
///     said[0],
///     "bar 1, minim 3, Cantus 2 and Tenor 2: two fifths in a row, in the same direction"
/// );
/// assert_eq!(judged.dissonances.untreated, 0);
/// ```
pub fn judge(piece: &Piece, score: &Score, rules: RuleSet) -> Judged {
    let texture = Texture::new(piece, score);
    let moments = Moments::new(&texture);
    let suspensions = suspensions(&texture, &moments);
    judge_texture(&texture, &moments, &suspensions, rules)
}

/// The same where the texture, its moments and its suspensions are known.
pub(crate) fn judge_texture(
    texture: &Texture,
    moments: &Moments,
    suspensions: &[Suspension],
    rules: RuleSet,
) -> Judged {
    let exercises = Exercises::of(texture);
    let dissonances = dissonances(texture, moments, suspensions, &exercises, rules);
    let findings = findings(texture, moments, &dissonances, &exercises, rules);
    Judged { dissonances, findings, exercises: exercises.told(texture) }
}
