//! What a piece does: its dissonances and cadences, its subjects and how they are imitated, its mode.
//!
//! It looks at the whole piece once, and names; [`crate::rules`] observe two notes at a time, and
//! weigh.

pub mod accidentals;
pub mod cadences;
pub mod mode;
pub(crate) mod moments;
pub(crate) mod suspension;
#[cfg(test)]
pub(crate) mod testing;

pub use suspension::{Numbers, Ornament, Prepared};
