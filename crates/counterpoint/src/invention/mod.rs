//! What a subject can do: at which intervals and delays it can be imitated closely.
//!
//! The rules of counterpoint are turned round and used for search. [`table()`] judges one follower at
//! every interval and delay, [`several()`] two or three followers, [`moves()`] says which melodic moves
//! an interval and delay allow, and [`write_out()`] makes one answer into music. Everything is a plain
//! function of a [`Subject`]; what a person types and reads is made elsewhere.
//!
//! The rule: the follower sings now what the leader sang before; wherever a note begins while both
//! sound, they make a consonance, and no two perfect consonances of a kind run in one direction (Zarlino,
//! *Istitutioni harmoniche*, 1558, III, ch. 27–29; from memory). Dissonances that a figure treats are told
//! apart from these.

mod answer;
mod entry;
pub mod join;
mod judge;
mod line;
mod moves;
mod patterns;
mod several;
mod subject;
mod table;
mod treatment;
mod write_out;

pub use answer::{Quality, Signed};
pub use entry::{Entry, EntryError, Steps};
pub use judge::{Fault, FaultKind, Remark, RemarkKind, Verdict};
pub use moves::{Move, moves};
pub use patterns::{PATTERN_NOTES, Pattern, patterns, stepwise};
pub use several::{Ensemble, ensemble, several};
pub use subject::{MOST_NOTES, NoSubject, Subject, Sung};
pub use table::{Exact, Intervals, Row, row, strict_table, table};
pub use treatment::{Figure, Treatment};
pub use write_out::{Ending, Part, PartNote, write_out};

#[cfg(test)]
mod tests;
