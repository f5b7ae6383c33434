//! The kind of a cadence, and the numbers of its suspension.

use super::role::{FIFTH, FOURTH, Role, SECOND, above};
use crate::study::moments::{Moment, Sounding};
use crate::study::suspension::Numbers;
use crate::texture::Height;

/// The interval of the two lowest voices at the dissonance, octaves left out.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum CadenceKind {
    /// The cantizans below, the tenorizans above.
    Second,
    /// The tenorizans below, the cantizans above.
    Seventh,
    /// The bassizans below, the cantizans above.
    Fourth,
    /// The bassizans below, the tenorizans above; or, with the bassizans on the fourth degree, the
    /// cantizans above: the pair tells them apart.
    Fifth,
    /// Any other pair.
    Other,
    /// No suspension.
    None,
}

impl CadenceKind {
    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            CadenceKind::Second => "second",
            CadenceKind::Seventh => "seventh",
            CadenceKind::Fourth => "fourth",
            CadenceKind::Fifth => "fifth",
            CadenceKind::Other => "other",
            CadenceKind::None => "none",
        }
    }
}

/// The kind of what sounds at a dissonance, and the roles of the two lowest voices.
pub(super) fn kind(
    moment: Moment<'_>,
    cantizans: u32,
    goal: Height,
) -> (CadenceKind, [Option<Role>; 2]) {
    let Some(lowest) = moment.lowest() else { return (CadenceKind::Other, [None; 2]) };
    let class = |sounding: &Sounding| sounding.height.rung.rem_euclid(7);
    let others = moment.sounding.iter().filter(|other| class(other) != class(lowest));
    let is_cantizans = |sounding: &Sounding| sounding.note.line == cantizans;
    // Of two at the same pitch, the cantizans.
    let next = others.min_by_key(|other| (other.pitch(), !is_cantizans(other)));
    let above = |sounding: &Sounding| above(goal, sounding.height);
    of_lowest(above(lowest), next.map(above))
}

/// The kind by how many steps above the goal, octaves left out, the lowest voice is and the next one that
/// does not double it, and what roles they have.
pub(crate) fn of_lowest(lowest: i16, next: Option<i16>) -> (CadenceKind, [Option<Role>; 2]) {
    let role = |above: i16| match above {
        0 => Some(Role::Cantizans),
        SECOND => Some(Role::Tenorizans),
        _ => None,
    };
    let high = next.and_then(role);
    let low = match (lowest, high) {
        (FIFTH, _) | (FOURTH, Some(Role::Cantizans)) => Some(Role::Bassizans),
        _ => role(lowest),
    };
    let kind = match (low, high, lowest) {
        (Some(Role::Cantizans), Some(Role::Tenorizans), _) => CadenceKind::Second,
        (Some(Role::Tenorizans), Some(Role::Cantizans), _) => CadenceKind::Seventh,
        (Some(Role::Bassizans), Some(Role::Cantizans), FIFTH) => CadenceKind::Fourth,
        (Some(Role::Bassizans), Some(Role::Tenorizans), FIFTH)
        | (Some(Role::Bassizans), Some(Role::Cantizans), FOURTH) => CadenceKind::Fifth,
        _ => CadenceKind::Other,
    };
    (kind, [low, high])
}

/// The numbers of a suspension against the lowest voice; where it is no dissonance with that, or is
/// the lowest itself, against the tenorizans.
pub(super) fn numbers(moment: Moment<'_>, cantizans: u32, goal: Height) -> Option<Numbers> {
    let own = moment.of_line(cantizans)?;
    let lowest = moment.lowest()?;
    match above(goal, lowest.height) {
        SECOND => return Some(Numbers::SevenSix),
        FIFTH => return Some(Numbers::FourThree),
        _ => {}
    }
    let tenorizans = |other: &&Sounding| above(goal, other.height) == SECOND;
    let mut others = moment.sounding.iter().filter(tenorizans);
    // The nearest above, if the suspended voice is the lower one.
    let steps = |other: &Sounding| other.height.rung - own.height.rung;
    let lower = others.clone().any(|other| steps(other) < 0);
    if lower && !moment.is_lowest(own) {
        return Some(Numbers::SevenSix);
    }
    let nearest = others.by_ref().map(steps).filter(|steps| *steps > 0).min();
    match nearest {
        Some(1) => Some(Numbers::TwoThree),
        Some(_) => Some(Numbers::NineTen),
        None => moment
            .sounding
            .iter()
            .any(|other| above(goal, other.height) == FIFTH && other.pitch() < own.pitch())
            .then_some(Numbers::FourThree),
    }
}
