//! What a part of the file holds, in the order of the file.

use notation::{MarkColor, MarkShape, NoteSign, NoteSigns};
use rudiments::{Accidental, Clef, Pitch, Proportion, Sign, Signature, Time};

use super::pitch::Transposition;

/// A part with everything in it.
#[derive(Default)]
pub(super) struct Part {
    /// Its name, where it has one that says something.
    pub(super) name: Option<String>,
    /// The names of its voices, in the order in which they are met.
    pub(super) voices: Vec<String>,
    /// Its notes, and those rests that cannot be told from what is silent.
    pub(super) events: Vec<Event>,
    /// What changes on its staves.
    pub(super) changes: Vec<(Moment, Staff, Change)>,
    /// What stands over its staves.
    pub(super) marks: Vec<Mark>,
    /// The measures, from 0, with which a system begins, and whether a page does.
    pub(super) breaks: Vec<(usize, bool)>,
    /// Its double bars and repeats, with their places in the file.
    pub(super) bar_lines: Vec<(Moment, BarLine, usize)>,
}

/// A time, counted within a measure. The end of a measure is the beginning of the next.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Moment {
    /// The measure, from 0.
    pub(super) measure: usize,
    /// Minims from its beginning.
    pub(super) within: Time,
}

/// A staff of a part by its number, from 1; nothing for all of them.
pub(super) type Staff = Option<u32>;

/// A note, several at once, or a rest.
pub(super) struct Event {
    pub(super) at: Moment,
    /// How long it lasts, in minims; more than nothing.
    pub(super) length: Time,
    /// Its voice, as a place in [`Part::voices`].
    pub(super) voice: usize,
    pub(super) staff: u32,
    /// Its notes; none for a rest.
    pub(super) heads: Vec<Head>,
    /// The tuplet in which it stands.
    pub(super) ratio: Option<Proportion>,
    pub(super) signs: NoteSigns,
    /// Where it stands in the file.
    pub(super) byte: usize,
}

/// One note.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Head {
    /// What sounds.
    pub(super) pitch: Pitch,
    /// The editor's accidental over it.
    pub(super) editorial: Option<Accidental>,
    /// Whether a tie joins it to what comes before.
    pub(super) tied: bool,
}

/// What changes on a staff.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Change {
    /// The clef; nothing where a parts file does not have it.
    Clef(Option<Clef>),
    /// The signature as it is written.
    Signature(Signature),
    /// By how much the staff sounds above what is written.
    Transposition(Transposition),
    /// The time, shown as a sign.
    Sign(Sign),
}

/// Something over a staff.
pub(super) struct Mark {
    pub(super) at: Moment,
    /// Its voice, where it names one, as a place in [`Part::voices`].
    pub(super) voice: Option<usize>,
    pub(super) staff: u32,
    pub(super) kind: MarkKind,
}

/// What stands over a staff.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum MarkKind {
    /// Words in quotes, as they are to be written.
    Words(String),
    /// A sign at a note.
    Sign(NoteSign),
    /// A mark, up to where its bracket ends; nothing while that is not read.
    Mark(Option<Moment>, Marking),
}

/// A mark as it is to be written.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Marking {
    pub(super) shape: MarkShape,
    pub(super) color: Option<MarkColor>,
    /// Words in quotes; may be empty.
    pub(super) words: String,
}

/// What a bar line means, if it is more than a bar line.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum BarLine {
    /// A section ends.
    Section,
    /// A section ends that is repeated.
    Repeat,
    /// A section begins that is repeated.
    RepeatBegins,
}
