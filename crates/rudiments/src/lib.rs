//! The smallest things of music that every other crate speaks of: pitch, interval, value,
//! clef, signature, mensuration sign, and exact time.
//!
//! Nothing here knows of files, of voices or of counting rules.

mod clef;
mod interval;
mod mensuration;
mod pitch;
mod sign;
mod signature;
mod time;
mod value;

pub use clef::{Clef, ClefShape, Place};
pub use interval::{Direction, Interval};
pub use mensuration::Mensuration;
pub use pitch::{Accidental, Pitch, Step, Tone};
pub use sign::{Circle, Sign};
pub use signature::Signature;
pub use time::{Proportion, Time};
pub use value::Value;
