//! Cadences: where a suspended voice comes to rest on a goal together with another.
//!
//! A cadence is made by lines, not by chords: the cantizans goes down a step from a suspension and
//! back up, the tenorizans goes down to the same goal, the bassizans leaps to it; any voice may have
//! any of these roles (Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 53; Vicentino, *L'antica
//! musica*, 1555, III, ch. 24-38; Burmeister, *Musica poetica*, 1606, names the roles; from memory).
//!
//! Only cadences with a suspension are listed, and at an end those without; otherwise every sixth that
//! opens to an octave would be one.

mod cantizans;
mod ending;
mod kind;
mod outcome;
mod partners;
mod plagal;
mod role;
mod syncopated;
mod unsyncopated;

use notation::Piece;
use rudiments::{Pitch, Step, Time, Value};
use score::Score;

pub use cantizans::CadenceOrnament;
pub use ending::Final;
pub(crate) use ending::{final_step, last_note, last_sonority};
pub use kind::CadenceKind;
pub(crate) use kind::of_lowest;
pub use outcome::EvadedBy;
pub use role::{Role, Roles};

use super::moments::Moments;
use super::suspension::{Numbers, Suspension, suspensions};
use crate::observe::EventId;
use crate::texture::Texture;

/// A cadence. Times are in minims from the beginning of the piece.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Cadence {
    /// When the suspended note begins; nothing without a suspension.
    pub preparation: Option<Time>,
    /// When it becomes a dissonance: where the cadential semibreve begins. Nothing without one.
    pub dissonance: Option<Time>,
    /// When the leading note begins; where there is none, the step above the goal.
    pub resolution: Time,
    /// When the goal is reached, or should be: where the cadential semibreve ends.
    pub at: Time,
    /// The goal, in the octave of the cantizans; without one, of the tenorizans.
    pub goal: Pitch,
    /// Which degree the goal is of the final, 1 to 7; nothing in a piece without notes at its end.
    pub degree: Option<u8>,
    /// Which voice has which role, by its note before the goal.
    pub roles: Roles,
    /// The interval of the two lowest voices.
    pub kind: CadenceKind,
    /// The roles of these two, the lower first, as far as they have any; nothing without a
    /// suspension.
    pub pair: Option<[Option<Role>; 2]>,
    /// The numbers of the suspension; nothing without one.
    pub suspension: Option<Numbers>,
    /// How long the cadential semibreve really is: a semibreve, or the value that is as long or a
    /// little shorter. Without a suspension, that of the leading note.
    pub level: Value,
    /// Whether it is in *mi*: the tenorizans falls a semitone, the cantizans rises a tone.
    pub phrygian: bool,
    /// By what it is evaded; nothing if it is fulfilled.
    pub evaded_by: Option<EvadedBy>,
    /// How suspension and leading note are ornamented.
    pub ornaments: Vec<CadenceOrnament>,
    /// The cantizans from the resolution to the goal: the leading note, and whatever goes round it.
    pub leading: Vec<EventId>,
    /// When the last sonority begins, if a plagal ending follows: after the goal, within two breves,
    /// the lowest voice falls a fourth or rises a fifth to the end.
    pub plagal: Option<Time>,
}

impl Cadence {
    /// Whether one of the roles goes elsewhere.
    pub fn is_evaded(&self) -> bool {
        self.evaded_by.is_some()
    }

    /// What it is called: a Phrygian or evaded one by that; else a leaping one if the lowest voice
    /// leaps, the tenorizans alone if no voice has the leading note, and a *clausula vera* if cantizans and tenorizans open to the octave or close to the
    /// unison.
    pub fn name(&self) -> &'static str {
        match (self.phrygian, self.evaded_by) {
            (true, None) => "Phrygian",
            (true, Some(_)) => "evaded Phrygian",
            (false, Some(_)) => "evaded",
            (false, None) if self.roles.cantizans.is_none() => "tenorizans alone",
            (false, None) if self.roles.bassizans.is_some() => "leaping",
            (false, None) => "clausula vera",
        }
    }
}

/// The cadences of a piece, in order of time, at most one at a moment.
pub fn of(piece: &Piece, score: &Score) -> Vec<Cadence> {
    let texture = Texture::new(piece, score);
    let moments = Moments::new(&texture);
    let suspensions = suspensions(&texture, &moments);
    cadences(&texture, score, &moments, &suspensions, final_step(&texture))
}

/// The cadences with a suspension.
pub(crate) use syncopated::cadences as suspended_cadences;

/// All cadences, in order of time, at most one at a moment. `last` is the step of the final.
pub(crate) fn cadences(
    texture: &Texture,
    score: &Score,
    moments: &Moments,
    suspensions: &[Suspension],
    last: Option<Step>,
) -> Vec<Cadence> {
    let mut found = syncopated::cadences(texture, moments, suspensions);
    unsyncopated::add_cadences(&mut found, texture, score, moments);
    for cadence in &mut found {
        let above = |last: Step| cadence.goal.tone.step as i32 - last as i32;
        cadence.degree = last.map(|last| above(last).rem_euclid(7) as u8 + 1);
    }
    plagal::mark(&mut found, texture, moments);
    found
}
