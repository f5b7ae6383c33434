//! From printed voices to a score on the shared minim grid.
//!
//! [`reckon`] gives every event its exact length; [`align`] lets the voices meet, and draws the
//! bars; [`arrange`] decides what a modern reader needs beside that: hands, ties, beams, signs.
//! Nothing here reads or writes a file.

mod align;
mod high_clefs;
mod reckon;
mod timed;

pub use align::{Aligned, BarLength, align};
pub use high_clefs::high_clefs;
pub use reckon::{Reckoned, reckon};
pub use timed::{Bar, Change, Close, Heading, Score, Sounded, TimedEvent, TimedVoice};
