//! From printed voices to a score on the shared minim grid.
//!
//! [`reckon`] gives every event its exact length; [`align`] lets the voices meet, and draws the
//! bars; [`arrange`] decides what a modern reader needs beside that: hands, ties, beams, signs.
//! Nothing here reads or writes a file.

mod align;
mod arrange;
mod check;
mod collate;
mod fix;
mod high_clefs;
mod legible;
mod mark;
mod meaning;
mod missing_sign;
mod passages;
mod places;
mod reckon;
mod report;
mod rule;
mod timed;
mod why;

pub use align::{Aligned, BarLength, align};
pub use arrange::{
    ArrangedBar, Arrangement, Beam, Beams, Edges, Hand, Manner, Meter, MeterSymbol, NoteValue,
    Options, Reduction, Segment, SegmentNote, Shape, ShownAccidental, Staff, Staves, Stem, Stretch,
    Tuplet, Words, arrange,
};
pub use check::check;
pub use collate::{
    Basis, Collation, Difference, DifferenceKind, Locus, Merged, Side, collate, merge,
};
pub use fix::{Fixed, fix};
pub use high_clefs::high_clefs;
pub use legible::legible;
pub use mark::{Mark, Run};
pub use meaning::first_difference;
pub use notation::{MarkColor, MarkShape};
pub use places::{Numbers, Place};
pub use reckon::{Reckoned, reckon};
pub use report::{Entry, EntryKind, Report, report};
pub use rule::Rule;
pub use timed::{Bar, Change, Close, Heading, Score, Sounded, TimedEvent, TimedVoice};
pub use why::why;
