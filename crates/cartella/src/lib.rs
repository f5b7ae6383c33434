//! Mensural voices typed as printed: checked, counted, aligned, and written as keyboard scores.
//!
//! This is the front door of the crates that do the work; the whole way in ten lines:
//!
//! ```
//! use cartella::{BarLength, Document, Look, MidiTuning, Options, Paper};
//!
//! let document = Document::parse("voice Cantus clef C1\n  sb A4 B mn C5 sb D mn C[#] lg D //\n");
//! assert_eq!(document.diagnostics(), []);
//! let aligned = document.score(BarLength::Breve); // the voices side by side, with bars
//! let arranged = aligned.arrangement(Options::default()); // two staves for two hands
//! let picture: String = arranged.svg(&Look::default());
//! let pages: Vec<u8> = arranged.pdf(&Look::default(), &Paper::A4)?;
//! let score: String = arranged.musicxml()?;
//! let performance = arranged.performance(&aligned.playing()); // when every note is struck
//! let to_be_heard: Vec<u8> = arranged.midi(&performance, MidiTuning::Unsaid)?;
//! # assert!(picture.starts_with("<svg") && pages.starts_with(b"%PDF"));
//! # assert!(score.contains("<score-partwise") && to_be_heard.starts_with(b"MThd"));
//! # Ok::<(), cartella::Error>(())
//! ```
//!
//! [`Example::check`] says everything that is wrong or doubtful, [`Document::fix`] mends what is
//! mechanical, [`Example::mend`] says where a slip most likely is, [`Example::change`] types another
//! value, tone, sign, note or rest in one of several manners, [`Aligned::collate`] what differs
//! between two transcriptions. [`Document::read_mei`] and [`Document::read_musicxml`] read what others
//! have encoded, [`Document::read_source`] what is read on the staves of pictures.
//!
//! Everything takes values and returns values. No file is opened, nothing is printed, no thread is
//! started and no clock is read: whoever uses this crate decides about these. The faces for notes and
//! words are part of it.

mod aligned;
mod arranged;
mod copied;
mod document;
mod error;
mod example;
mod imitation;
mod joining;
mod studied;
mod written;

pub use aligned::{Aligned, Collated};
pub use arranged::Arranged;
pub use copied::{Copied, Strips};
pub use document::Document;
pub use error::Error;
pub use example::Example;
pub use imitation::{ImitationExample, SubjectError, imitation_examples, imitation_parts, subject};
pub use joining::{NoPair, join, join_model, join_models, joined_parts};

// Where slips come from, and which places are most worth looking at.
#[doc(inline)]
pub use counterpoint::causes::{Cause, LIKELY, What, causes};
// What a subject can do.
#[doc(inline)]
pub use counterpoint::invention;
// How two pairs are joined.
#[doc(inline)]
pub use counterpoint::invention::join::{
    Asked, Duo as Pair, Joined, KINDS, Meanwhile, Model, NewSign, NoDuo, Place,
};
// Suggestions of what a slip was.
#[doc(inline)]
pub use counterpoint::mend::{Kind as SlipKind, Looked, Repair, Suggestion, Unexplained};
// What a piece does.
#[doc(inline)]
pub use counterpoint::study::accidentals::{AccidentalReason, Doubt, ProposedAccidental};
#[doc(inline)]
pub use counterpoint::study::cadences::{Cadence, CadenceKind, EvadedBy, Role, Roles};
#[doc(inline)]
pub use counterpoint::study::imitation::{
    Answer, Canon, Duo, Entry as SubjectEntry, Follower, Form, Imitations, Meeting, Order, Quality,
    Relation, Subject,
};
#[doc(inline)]
pub use counterpoint::study::mode::{
    Clefs as Cleffing, Evidence as ModeEvidence, Mode, ModeProposal, Proposed,
};
#[doc(inline)]
pub use counterpoint::study::page::PagePart;
#[doc(inline)]
pub use counterpoint::study::{
    Dissonances, EntryPoint, Figure as DissonanceFigure, Finding as CounterpointFinding,
    Interval as SoundingInterval, Numbers as SuspensionNumbers, Pair as Dissonance, RuleSet,
    Severity as Weight, Study,
};
// What the rules of counterpoint observe.
#[doc(inline)]
pub use counterpoint::{EventId, Observation, rules::Observed};
// Why there is no file of a picture.
#[doc(inline)]
pub use engrave::Error as EngraveError;
// Pictures and pages.
#[doc(inline)]
pub use engrave::{
    BarLines, Book, Breaks, Copy, CopyClefs, Face, Finding, FindingKind, Fit, Ground, HeadPlace,
    Look, Measure, Mm, Paper, Picture, SMALLEST_ON_ONE_PAGE, StaffOnPage, Strip, TypeStyle, apart,
    audit, copy_line, cropped, engrave_on, heads, live_svg, measures, pages, pdf, plan, png, sheet,
    staves, systems,
};
// Why another format could not be read or written.
#[doc(inline)]
pub use exchange::Error as ExchangeError;
// Other formats.
#[doc(inline)]
pub use exchange::{
    Fault, LARGEST_FILE, MeiPart, MidiTuning, Minim, ReadError, Remark, is_musicxml, voice_name,
};
// Staves found in pictures of a source.
#[doc(inline)]
pub use facsimile;
// The parts file.
#[doc(inline)]
pub use notation::{
    Change, Code, Diagnostic, Digits, Edit, Facsimile, Item, ItemId, ItemKind, LARGEST_TEXT,
    Layout, LineIndex, Manner, MarkColor, MarkShape, NewEvent, Note, NoteSign, NoteSigns, Piece,
    Severity, Span, Spelling, Standing, Term, Text, Undecided, Voice, apply, usual_names,
};
// The things of music that all else speaks of.
#[doc(inline)]
pub use rudiments::{
    Accidental, Clef, Direction, Interval, Pitch, Sign, Signature, Step, Time, Tone, Value,
    interval_in_words,
};
// The score, its arrangement, its report, how it is played, and what differs between two.
#[doc(inline)]
pub use score::{
    Annotations, Arrangement, Bar, BarLength, Basis, Card, Clefs, Clock, Close, Collation, Compass,
    Cut, DecidedOctave, Difference, DifferenceKind, Entry, EntryKind, Excerpt, Figure, Fixed,
    Heading, Hold, Locus, Mark, Merged, Moved, NoExcerpt, Numbers, Options, Performance, Plan,
    PlannedBar, PlannedCadence, PlannedEntry, PlannedSection, PlannedSubject, PlannedVoice,
    PlayedBar, PlayedNote, PlayedVoice, Reduction, Report, Rests, Run, Score, Shade, Sheet,
    SheetBody, SheetPart, Sounded, SourceLine, Staves, Stems, Stroke, Table, Tempo, TimedEvent,
    TimedVoice, why, why_lasting,
};
// Voices read in pictures of a source, and told apart where several stand on a page.
#[doc(inline)]
pub use source::{
    Part as SourcePart, StaffLine, ToldApart, Unread, apart_by, from_the_top, in_turn,
    seeming_voices, told_apart,
};
// Why a file of sound could not be written.
#[doc(inline)]
pub use sound::Error as SoundError;
// How a score is to be played, how it is tuned, and how it sounds.
#[doc(inline)]
pub use sound::{
    Frame as SoundFrame, Instrument, Keys, KeysError, LONGEST as LONGEST_SOUND, Lack, Lapses,
    Note as KeyNote, PITCHES, Playing, Rendering, Room, Samples, Stop, Temperament, Touch, Tuning,
    Wolf, render, stream_wav, write_flac, write_wav,
};
