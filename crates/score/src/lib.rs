//! From printed voices to a score on the shared minim grid.
//!
//! [`reckon`] gives every event its exact length; [`align`] lets the voices meet, and draws the
//! bars; [`arrange`] decides what a modern reader needs beside that: hands, ties, beams, signs.
//! Nothing here reads or writes a file.
//!
//! ```
//! use score::{BarLength, Options, align, arrange, reckon};
//!
//! let parsed = notation::parse("voice Cantus clef C1\n  sb A4 br B lg C5 //\n");
//! let aligned = align(&parsed.piece, reckon(&parsed.piece), BarLength::Breve);
//! assert_eq!(aligned.diagnostics, []);
//! let onsets = aligned.score.voices[0].events.iter().map(|event| event.onset.to_string());
//! assert_eq!(onsets.collect::<Vec<_>>(), ["0", "2", "6"]); // in minims
//!
//! let arrangement = arrange(&aligned.score, Options::default());
//! assert_eq!(arrangement.staves.len(), 2); // for two hands
//! assert!(arrangement.bars[0].voices[0][1].tied_after); // the breve goes on in the second bar
//! ```

mod align;
mod annotations;
mod arrange;
mod change;
mod check;
mod collate;
mod compass;
mod excerpt;
mod figures;
mod fix;
mod high_clefs;
mod legible;
mod lines_within;
mod lone_signature;
mod mark;
mod marked;
mod meaning;
mod missing_sign;
mod octaves;
mod passages;
mod performance;
mod places;
mod plan;
mod reckon;
mod report;
mod rule;
mod sheet;
mod source_lines;
mod timed;
mod why;

pub use align::{Aligned, BarLength, align};
pub use annotations::{Annotations, Figure, Shade};
pub use arrange::{
    ArrangedBar, Arrangement, Beam, Beams, Clefs, Edges, Hand, Manner, Meter, MeterSymbol,
    NoteValue, Options, Reduction, Rests, Segment, SegmentNote, Shape, ShownAccidental, Staff,
    StaffRest, Staves, Stem, Stems, Stretch, Tuplet, Words, arrange,
};
pub use change::change;
pub use check::check;
pub use collate::{
    Basis, Collation, Difference, DifferenceKind, Locus, Merged, Side, collate, merge, merge_all,
};
pub use compass::{Compass, Moved};
pub use excerpt::{Excerpt, NoExcerpt};
pub use fix::{Fixed, fix};
pub use high_clefs::high_clefs;
pub use legible::legible;
pub use lines_within::lines_within;
pub use mark::{Mark, Run};
pub use meaning::first_difference;
pub use octaves::{DecidedOctave, decided_octaves, octaves};
pub use performance::{
    Clock, Hold, Performance, PlayedBar, PlayedNote, PlayedVoice, Stroke, Tempo,
};
pub use places::{Numbers, Place};
pub use plan::{
    Plan, PlannedBar, PlannedCadence, PlannedEntry, PlannedSection, PlannedSubject, PlannedVoice,
};
pub use reckon::{NoteShape, Reckoned, lengths, reckon};
pub use report::{Entry, EntryKind, Report, report};
pub use rule::Rule;
pub use sheet::{Card, Sheet, SheetBody, SheetPart, Table};
pub use source_lines::{SourceLine, source_lines};
pub use timed::{Bar, Break, Change, Close, Cut, Heading, Score, Sounded, TimedEvent, TimedVoice};
pub use why::{why, why_lasting};
