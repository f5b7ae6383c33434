//! What the voices of a piece do to one another, by the rules of counterpoint; and, by these, where
//! a slip most likely is and what it was.
//!
//! - [`observe()`] lists everything that the [`rules`] observe in a piece: intervals, dissonances and
//!   their figures, parallels, motions, finals, directs; each with its exact time and its events.
//! - [`mend::mend`] weighs the same observations, as they are and as they would be after every
//!   repair that a copyist's slip may need, and suggests the likeliest. Its [`weights`] were tuned on
//!   pieces with planted slips.
//! - [`study::judge`] names the figure of every dissonance, and says what the rules of a date find.
//! - [`causes::causes`] says what is most worth looking at, of all that was noticed.
//!
//! The rules of [`observe()`] observe; they forbid nothing. Those of a [`study::RuleSet`] judge.
//! Nothing here reads or writes a file, knows a terminal or starts a thread. The rules and their
//! published sources also stand in `docs/counterpoint.md`.
//!
//! ```
//! use score::{BarLength, align, reckon};
//!
//! let text = "\
//! voice Cantus clef C1
//!   sb A4 B C5 lg A
//! voice Tenor clef C4
//!   sb D4 E A3 lg D4
//! ";
//! let piece = notation::parse(text).piece;
//! let score = align(&piece, reckon(&piece), BarLength::Breve).score;
//!
//! let seen = counterpoint::observe(&piece, &score);
//! let parallels = seen.iter().filter(|seen| seen.what.rule() == "parallel");
//! let said: Vec<String> = parallels.map(|seen| seen.sentence(&score)).collect();
//! assert_eq!(said, ["bar 1, Cantus 2 and Tenor 2: parallel fifths"]);
//!
//! for suggestion in counterpoint::mend::mend(text, &piece, &score) {
//!     println!("{} ({:.2})", suggestion.change(), suggestion.confidence);
//! }
//! ```

mod against;
mod asked;
pub mod causes;
mod dyad;
mod inflections;
pub mod invention;
mod kinds;
mod length;
mod melodies;
pub mod mend;
mod observe;
mod rank;
pub mod rules;
mod slip;
pub mod study;
mod sum;
mod texture;
pub mod weights;

pub use dyad::{Concord, Discord, Dyad};
pub use length::Length;
pub use observe::{EventId, Observation, observe};
pub use rank::{Rank, Strength};
