//! Pictures of the source: which line of which voice stands where, and the strips that are printed above
//! the lines.

mod printed;
mod sources;
pub(super) mod strips;

pub(super) use printed::{Strips, printed};
