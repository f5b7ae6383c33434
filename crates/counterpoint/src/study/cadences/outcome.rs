//! Whether a cadence is fulfilled, and what evades it.

use super::role::{FIFTH, FOURTH, above};
use crate::dyad::Dyad;
use crate::study::moments::{Moment, Moments};
use crate::texture::Height;

/// By what a cadence is evaded (Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 54, of *fuggir la
/// cadenza*; from memory).
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum EvadedBy {
    /// The cantizans does not go up to the goal.
    Cantizans,
    /// The tenorizans goes elsewhere.
    Tenorizans,
    /// The bassizans goes elsewhere.
    Bassizans,
    /// A role falls silent where it should arrive.
    Rest,
    /// The lowest voice, which has none of these roles, takes another note than the goal.
    Entry,
}

impl EvadedBy {
    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            EvadedBy::Cantizans => "cantizans",
            EvadedBy::Tenorizans => "tenorizans",
            EvadedBy::Bassizans => "bassizans",
            EvadedBy::Rest => "rest",
            EvadedBy::Entry => "entry",
        }
    }
}

/// What becomes of a cadence whose cantizans and another role come to the goal together.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Meeting {
    /// It is fulfilled.
    Fulfilled,
    /// The lowest voice evades it.
    Evaded(EvadedBy),
    /// It is none: the goal is dissonant with the lowest voice, as over a held fifth degree.
    Dissonant,
}

/// What becomes of a cadence whose cantizans and another role come to the goal together, by what the
/// lowest voice has.
pub(super) fn together(
    moments: &Moments,
    at: i64,
    goal: Height,
    phrygian: bool,
) -> Option<Meeting> {
    let moment = moments.at(at)?;
    let lowest = moment.lowest()?;
    match above(goal, lowest.height) {
        0 => return Some(Meeting::Fulfilled),
        FOURTH if phrygian => return Some(Meeting::Fulfilled),
        _ => {}
    }
    if !is_consonant(goal, moment) {
        return Some(Meeting::Dissonant);
    }
    let line = lowest.note.line;
    let before = moments.at(at - 1)?;
    let was_bassizans = before
        .of_line(line)
        .is_some_and(|own| above(goal, own.height) == FIFTH && before.is_lowest(own));
    Some(Meeting::Evaded(if was_bassizans { EvadedBy::Bassizans } else { EvadedBy::Entry }))
}

/// Whether a goal is consonant with the lowest voice of a moment.
pub(super) fn is_consonant(goal: Height, moment: Moment<'_>) -> bool {
    let lowest = moment.lowest();
    lowest.is_none_or(|lowest| matches!(Dyad::of(goal, lowest.height, true), Dyad::Concord(_)))
}
