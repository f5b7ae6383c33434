//! The smallest things of music that every other crate speaks of: pitch, interval, value,
//! clef, signature, mensuration sign, the shapes of ligatures, and exact time.
//!
//! Nothing here knows of files, of voices or of counting rules.
//!
//! ```
//! use rudiments::{Clef, Direction, Interval, Pitch, Time, Value};
//!
//! let lowest = Clef::parse("F4").unwrap().tone_at(2); // the lowest line, of places that count from the space below
//! assert_eq!(lowest.to_string(), "G2");
//! let fifth = Interval::of_number(5, Direction::Up).unwrap();
//! assert_eq!(fifth.from(Pitch::new(lowest, 0)).to_string(), "D3");
//! assert_eq!(Value::Breve.plain(), Time::minims(4));
//! ```

mod clef;
mod interval;
mod ligature;
mod mensuration;
mod pitch;
mod quarters;
mod sign;
mod signature;
mod time;
mod value;

pub use clef::{Clef, ClefShape, Place};
pub use interval::{Direction, Interval, interval_in_words};
pub use ligature::{Body, LigatureNote, LigatureShape, NoLigature, Tail, ligature};
pub use mensuration::Mensuration;
pub use pitch::{Accidental, Pitch, Step, Tone};
pub use quarters::Quarters;
pub use sign::{Circle, Sign};
pub use signature::Signature;
pub use time::{Proportion, Time};
pub use value::Value;
