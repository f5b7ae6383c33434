//! The diplomatic copy of a source, for proofing by eye: each line as the source prints it, in mensural type,
//! with what the editor says of it marked.
//!
//! A line passes through three hands: [`galley`] takes from the case the sorts that it needs, [`line`]
//! justifies them on a staff, [`sheet`] puts the staves of a piece below one another. Nothing here decides how
//! long anything lasts: what a line has, and how many minims have gone by at its end, is told by
//! [`score::SourceLine`].

mod account;
mod case;
mod galley;
mod ligatures;
mod line;
mod notes;
mod sheet;
mod sort;
mod sorts;
#[cfg(test)]
mod tests;
mod type_style;

pub use account::unaccounted;
pub use sheet::{Copy, CopyClefs, copy, copy_line, copy_on};
pub use type_style::TypeStyle;
