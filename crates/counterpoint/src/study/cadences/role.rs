//! What a voice does at a cadence.

use crate::observe::EventId;
use crate::texture::Height;

/// What a voice does at a cadence (Burmeister, *Musica poetica*, 1606, has these names; from memory).
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Role {
    /// It is suspended, goes down a step to the leading note, and back up to the goal.
    Cantizans,
    /// It goes down a step to the goal.
    Tenorizans,
    /// It goes from the fifth degree a fourth up or a fifth down to the goal; about 1500 also an
    /// octave up, over the tenorizans.
    Bassizans,
    /// It fills: stays on the fifth degree, falls from it, or goes from the fourth degree to the
    /// third.
    Altizans,
}

impl Role {
    /// All of them.
    pub const ALL: [Role; 4] = [Role::Cantizans, Role::Tenorizans, Role::Bassizans, Role::Altizans];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Role::Cantizans => "cantizans",
            Role::Tenorizans => "tenorizans",
            Role::Bassizans => "bassizans",
            Role::Altizans => "altizans",
        }
    }
}

/// Which voice has which role, each by its note before the goal: the leading note of the cantizans,
/// the step above the goal of the tenorizans, and so on.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Roles {
    /// The cantizans.
    pub cantizans: Option<EventId>,
    /// The tenorizans; of several the one that arrives.
    pub tenorizans: Option<EventId>,
    /// The bassizans.
    pub bassizans: Option<EventId>,
    /// The altizans; of several the highest.
    pub altizans: Option<EventId>,
}

impl Roles {
    /// The note of a role.
    pub fn of(&self, role: Role) -> Option<EventId> {
        match role {
            Role::Cantizans => self.cantizans,
            Role::Tenorizans => self.tenorizans,
            Role::Bassizans => self.bassizans,
            Role::Altizans => self.altizans,
        }
    }

    /// The role of a voice.
    pub fn of_voice(&self, voice: usize) -> Option<Role> {
        let has = |role: &Role| self.of(*role).is_some_and(|event| event.voice == voice);
        Role::ALL.into_iter().find(has)
    }
}

/// The step above the goal, from which the tenorizans comes.
pub(super) const SECOND: i16 = 1;
/// The third degree of the goal.
pub(super) const THIRD: i16 = 2;
/// The fourth degree of the goal.
pub(super) const FOURTH: i16 = 3;
/// The fifth degree, from which the bassizans comes.
pub(super) const FIFTH: i16 = 4;

/// How many steps a note is above a goal, octaves left out.
pub(super) fn above(goal: Height, height: Height) -> i16 {
    (height.rung - goal.rung).rem_euclid(7)
}
