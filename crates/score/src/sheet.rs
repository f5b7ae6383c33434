//! A page about a piece: a heading, and parts of text, tables and drawings. What it says is decided
//! by whoever fills it, where it stands by whoever draws it.

use crate::plan::Plan;
use crate::timed::Score;

/// A page, or several.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Sheet {
    /// The title.
    pub title: String,
    /// Short facts that stand under it in one line, like `20 breves` and `low clefs`.
    pub facts: Vec<String>,
    /// The parts, from the top.
    pub parts: Vec<SheetPart>,
}

/// A part of a page.
#[derive(Clone, PartialEq, Debug)]
pub struct SheetPart {
    /// What stands beside it in the margin, like `Entries`; may be empty.
    pub heading: String,
    /// What it has.
    pub body: SheetBody,
}

/// What a part of a page has.
#[derive(Clone, PartialEq, Debug)]
pub enum SheetBody {
    /// Paragraphs.
    Text(Vec<String>),
    /// Rows of cells.
    Table(Table),
    /// The plan of the piece.
    Plan(Plan),
    /// A few voices alone, each on its staff, with the figures of the score between the upper two.
    Reduction(Box<Score>),
    /// Short music beside one another.
    Cards(Vec<Card>),
}

/// Rows of cells; a row may have fewer than others.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Table {
    /// What stands over the columns; may be empty.
    pub columns: Vec<String>,
    /// The rows, from the top.
    pub rows: Vec<Vec<String>>,
}

/// A few bars with a title, like those of a cadence.
#[derive(Clone, PartialEq, Debug)]
pub struct Card {
    /// What stands over them, like `bar 6–7 D seventh`.
    pub title: String,
    /// The voices, each on its staff, with the figures of the score between the upper two.
    pub music: Score,
}
