//! What a piece does: its dissonances and cadences, its subjects and how they are imitated, its mode.
//!
//! It looks at the whole piece once, and names; [`crate::rules`] observe two notes at a time, and
//! weigh.

pub mod accidentals;
pub mod cadences;
mod figures;
mod findings;
pub mod imitation;
mod judged;
pub mod mode;
pub(crate) mod moments;
pub mod page;
mod rules;
pub(crate) mod suspension;
#[cfg(test)]
pub(crate) mod testing;
mod whole;

pub use figures::{Dissonances, Pair, Suspended};
pub use findings::Finding;
pub(crate) use judged::judge_texture;
pub use judged::{Judged, judge};
pub use rules::{Figure, Judgement, Manner, Rule, RuleSet, Severity};
pub use suspension::{Numbers, Ornament, Prepared};
pub use whole::{EntryPoint, Study, study};
