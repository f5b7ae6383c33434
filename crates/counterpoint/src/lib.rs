//! What the voices of a piece do to one another: intervals, dissonance and how it is treated,
//! parallels; and, by these, where a slip most likely is and what it was.
//!
//! Everything is computed from a piece and its aligned score; nothing here reads or writes a file.
//! The rules and their published sources stand in `docs/counterpoint.md`.

pub mod causes;
pub mod cost;
mod dissonance;
mod melody;
pub mod mend;
mod parallels;
mod place;
mod sonority;
mod texture;
pub mod weights;
