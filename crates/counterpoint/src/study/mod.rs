//! What a piece does: its dissonances and cadences, its subjects and how they are imitated, its mode.
//!
//! It looks at the whole piece once, and names; [`crate::rules`] observe two notes at a time, and
//! weigh.

pub mod imitation;
