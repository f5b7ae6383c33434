//! What every example of a collection does, and which of them do what is asked for.
//!
//! A [`Row`] is what is worth knowing of one example, as plain values that can be stored: its voices
//! with their melodies, its subjects, entries and cadences. A [`Table`] shows rows as cells: one row
//! an example, an entry or a cadence. A [`Question`] finds the rows that have all that it asks for,
//! and says where.
//!
//! It studies nothing itself: a row is made of a study. It knows no files: whoever has a collection
//! reads it, and keeps the rows.
//!
//! ```
//! use cartella::{BarLength, Document, RuleSet};
//! use catalogue::{Question, Row};
//!
//! let text = "voice Cantus clef C1\n  sb _ mn _ sb D5 mn C lg D //\n\
//!             voice Tenor clef C4\n  sb D4 F E lg D //\n";
//! let document = Document::parse(text);
//! let aligned = document.score(BarLength::Breve);
//! let row = Row::of(&aligned, &aligned.study(RuleSet::default()));
//! assert_eq!(row.cadences[0].goal, "D");
//!
//! let mut question = Question::default();
//! question.cadences.push("D seventh".parse()?);
//! assert_eq!(question.answer(&row).unwrap().why, ["seventh on D, bar 2"]);
//! question.cadences.push("G".parse()?);
//! assert!(question.answer(&row).is_none());
//! # Ok::<(), catalogue::Unasked>(())
//! ```

mod answer;
mod melody;
mod minims;
mod natural;
mod question;
mod row;
mod table;

pub use answer::Hit;
pub use melody::{Found, Note, Sought};
pub use minims::Minims;
pub use natural::natural_order;
pub use question::{Goal, Imitated, Question, Unasked};
pub use row::{Cadence, Canon, Entry, Pair, Row, Subject, Upon, Voice};
pub use table::{Cell, Place, Table, Topic};
