//! What the page and the program say to each other over the socket, and what a text shows. The other side of
//! the same messages is `page/src/protocol.ts`.
//!
//! Places are bytes of the text; lengths of drawings are millimetres; times are minims.

use serde::{Deserialize, Serialize, Serializer};

/// What a page asks.
#[derive(Clone, PartialEq, Debug, Deserialize, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Asked {
    /// A window opens a piece.
    Open {
        /// The file, from the folder of the desk.
        path: String,
        /// The example, in a file of several.
        example: Option<String>,
        /// A name that the window gave itself.
        window: String,
    },
    /// The text as it is typed now: to be saved, and shown.
    Text {
        /// The file.
        path: String,
        /// How often it was changed.
        revision: u64,
        /// The hash of the file that it grew from.
        base: String,
        /// The whole text.
        text: String,
        /// The byte before which the cursor stands.
        cursor: u32,
        /// How wide the score is to be.
        width: f64,
        /// The hashes of the drawings that the page holds.
        have: Vec<String>,
    },
    /// The cursor has moved.
    Cursor {
        /// The file.
        path: String,
        /// The byte before which it stands.
        cursor: u32,
    },
    /// Where slips most likely are is asked for.
    Mend {
        /// The file.
        path: String,
        /// In which revision.
        revision: u64,
    },
    /// A suggestion is followed.
    Fix {
        /// The file.
        path: String,
        /// The revision for which it was made.
        revision: u64,
        /// Its rank.
        suggestion: usize,
        /// Whose slip it was.
        manner: Manner,
    },
    /// A window wants to type.
    TypeHere {
        /// The file.
        path: String,
        /// The window.
        window: String,
    },
    /// A key of a keyboard was struck: which letter is typed for it?
    Key {
        /// The file.
        path: String,
        /// The revision.
        revision: u64,
        /// Before which byte.
        cursor: u32,
        /// The number of the key in MIDI 1.0: 60 is middle C.
        key: u8,
    },
    /// Why does a note or rest last as long as it does?
    Why {
        /// The file.
        path: String,
        /// The revision.
        revision: u64,
        /// Its voice, as a place among all, from 0.
        voice: usize,
        /// Where its token begins.
        start: u32,
    },
}

impl Asked {
    /// The file that it is about.
    pub fn path(&self) -> &str {
        match self {
            Asked::Open { path, .. }
            | Asked::Text { path, .. }
            | Asked::Cursor { path, .. }
            | Asked::Mend { path, .. }
            | Asked::Fix { path, .. }
            | Asked::TypeHere { path, .. }
            | Asked::Key { path, .. }
            | Asked::Why { path, .. } => path,
        }
    }
}

/// Whose slip it was.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Manner {
    /// The typist's.
    Retyped,
    /// The source's.
    Emended,
}

/// What the program tells.
#[derive(Clone, PartialEq, Debug, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Told {
    /// A piece is open.
    Opened {
        /// The file.
        path: String,
        /// What was typed last, by any window.
        text: String,
        /// The hash of the file.
        hash: String,
        /// How often it was changed.
        revision: u64,
        /// The window that types; empty if none does.
        typing: String,
    },
    /// What a text shows.
    Shown {
        /// The file.
        path: String,
        /// Of which revision.
        revision: u64,
        /// What it shows.
        #[serde(flatten)]
        shown: Box<Shown>,
    },
    /// The line of the cursor, after it moved.
    Voice {
        /// The file.
        path: String,
        /// Of which revision.
        revision: u64,
        /// The voice, as a place among all, from 0.
        voice: usize,
        /// Its drawing.
        svg: String,
        /// The number of the line in the voice, from 1.
        line: u32,
    },
    /// The letter for a key.
    Keyed {
        /// The file.
        path: String,
        /// Of which revision.
        revision: u64,
        /// Before which byte.
        cursor: u32,
        /// What is typed.
        text: String,
    },
    /// Why a note or rest lasts as long as it does.
    Why {
        /// The file.
        path: String,
        /// Of which revision.
        revision: u64,
        /// Its voice, as a place among all, from 0.
        voice: usize,
        /// Where its token begins.
        start: u32,
        /// A sentence.
        why: String,
    },
    /// The file holds a revision now.
    Saved {
        /// The file.
        path: String,
        /// The revision.
        revision: u64,
        /// Its hash.
        hash: String,
    },
    /// Another program changed the file; nothing was written.
    ChangedOnDisk {
        /// The file.
        path: String,
        /// What it holds now.
        text: String,
        /// The hash of that.
        hash: String,
    },
    /// The file could not be written.
    NotSaved {
        /// The file.
        path: String,
        /// What was to be written.
        revision: u64,
        /// Why not, in a sentence.
        message: String,
    },
    /// Where slips most likely are.
    Mended {
        /// The file.
        path: String,
        /// Of which revision.
        revision: u64,
        /// The likeliest first.
        suggestions: Vec<Suggestion>,
    },
    /// The text with a suggestion followed.
    Fixed {
        /// The file.
        path: String,
        /// Of which revision.
        revision: u64,
        /// The whole text.
        text: String,
    },
    /// Which window types now.
    Typing {
        /// The file.
        path: String,
        /// The window; empty if none does.
        window: String,
    },
    /// What another window has typed.
    Peer {
        /// The file.
        path: String,
        /// The revision.
        revision: u64,
        /// The whole text.
        text: String,
    },
}

/// What a text shows.
#[derive(Clone, PartialEq, Debug, Default, Serialize)]
pub struct Shown {
    /// All systems of the score, in order.
    pub systems: Vec<Drawn>,
    /// The line in which the cursor stands, as printed.
    pub voice: Option<Printed>,
    /// What is wrong or doubtful.
    pub findings: Vec<Finding>,
    /// The notes and rests that are read, voice by voice.
    pub events: Vec<Event>,
    /// How many bars there are.
    pub bars: usize,
    /// The voices.
    pub voices: Vec<Voice>,
    /// Where lines of the source stand in pictures.
    pub strips: Vec<Strip>,
    /// Why there is nothing to be seen, if drawing failed.
    pub failed: Option<String>,
}

/// A drawing.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Drawn {
    /// Its hash.
    pub hash: String,
    /// It; nothing where the page has it.
    pub svg: Option<String>,
    /// In millimetres.
    pub width: f64,
    /// In millimetres.
    pub height: f64,
}

/// A line of a voice as printed.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Printed {
    /// The voice, as a place among all, from 0.
    pub index: usize,
    /// Its drawing.
    pub svg: String,
    /// The number of the line in the voice, from 1.
    pub line: u32,
}

/// A voice as it is typed.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Voice {
    /// Its name.
    pub name: String,
    /// How many lines of the source are typed, the last perhaps in part.
    pub lines: u32,
    /// Where its first piece of text begins.
    pub start: u32,
    /// Where that ends: at the next voice.
    pub end: u32,
}

/// Where a line of the source stands in a picture, as the head says it.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Strip {
    /// The name of the voice; `*` for a system of all voices.
    pub voice: String,
    /// The line of the source, from 1.
    pub line: u32,
    /// The file.
    pub file: String,
    /// The page in it, from 1.
    pub page: u32,
    /// The left edge of the box before it is turned, in pixels, of a PDF in points.
    pub x: f64,
    /// Its upper edge.
    pub y: f64,
    /// Its width.
    pub w: f64,
    /// Its height.
    pub h: f64,
    /// By how many degrees it is turned, clockwise.
    pub angle: f64,
    /// Where the item begins in the text.
    pub start: u32,
    /// Where it ends.
    pub end: u32,
}

/// A note or rest that is read. There are hundreds in every message, so each is written as a row: its fields in this
/// order, without their names.
#[derive(Clone, PartialEq, Debug)]
pub struct Event {
    /// Its number among the printed notes and rests of its voice, from 1; 0 for what is supplied.
    pub index: u32,
    /// Its voice, as a place among all, from 0.
    pub voice: usize,
    /// Where its token begins; in a canon, that of the voice which is followed.
    pub start: u32,
    /// Where it ends.
    pub end: u32,
    /// When it begins.
    pub from: f64,
    /// When it is over.
    pub until: f64,
    /// What it is, for people: `minim D4`.
    pub what: String,
}

impl Serialize for Event {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let Event { index, voice, start, end, from, until, what } = self;
        (index, voice, start, end, from, until, what).serialize(serializer)
    }
}

/// Something wrong or doubtful.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Finding {
    /// Its code.
    pub code: &'static str,
    /// Whether it is wrong.
    pub severity: Severity,
    /// What is the matter.
    pub message: String,
    /// What to type instead.
    pub help: Option<String>,
    /// Where it begins.
    pub start: u32,
    /// Where it ends.
    pub end: u32,
    /// In which line, from 1.
    pub line: u32,
    /// In which column, from 1; columns count characters.
    pub column: u32,
    /// In which voice, as a place among all, from 0.
    pub voice: Option<usize>,
    /// What mends it, where that is mechanical.
    pub fix: Option<Choice>,
    /// What can be chosen: the octaves of a letter, the higher first.
    pub choices: Vec<Choice>,
}

/// How bad it is.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Severity {
    Error,
    Warning,
}

/// A change of the text that can be chosen.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Choice {
    /// What it is called.
    pub label: String,
    /// What it changes.
    pub edits: Vec<Edit>,
}

/// Some bytes, and what stands there instead.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Edit {
    /// The first byte.
    pub start: u32,
    /// The byte after the last.
    pub end: u32,
    /// The text instead.
    pub text: String,
}

/// Where a slip most likely is.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Suggestion {
    /// From 1, the likeliest first.
    pub rank: usize,
    /// Of which slip it is a reading, from 1.
    pub slip: usize,
    /// How likely it is, from 0 to 1.
    pub confidence: f64,
    /// The voice, as a place among all, from 0.
    pub voice: usize,
    /// The number of the event among the printed ones of its voice, from 1; 0 for what is supplied.
    pub event: u32,
    /// Where its token begins.
    pub start: u32,
    /// Where it ends.
    pub end: u32,
    /// What is printed; empty where something was left out.
    pub printed: String,
    /// What would be read; empty where something is too many.
    pub read: String,
    /// Why, in a sentence.
    pub reason: String,
}

/// The words of a study.
#[derive(Clone, PartialEq, Debug, Default, Serialize)]
pub struct Studied {
    /// The title; may be empty.
    pub title: String,
    /// Short facts.
    pub facts: Vec<String>,
    /// Its parts, from the top.
    pub parts: Vec<Part>,
    /// The systems of the score with the marks of the study.
    pub systems: Vec<Drawn>,
    /// What it draws.
    pub drawn: Vec<String>,
}

/// A part of a study.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Part {
    /// What stands beside it.
    pub heading: String,
    /// What stands over the columns; nothing for sentences, which are rows of one cell.
    pub columns: Vec<String>,
    /// Rows of cells.
    pub rows: Vec<Vec<Vec<Said>>>,
}

/// Some words of a study.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Said {
    /// The words.
    pub text: String,
    /// When the place begins that they name, in minims; nothing where they name none.
    pub at: Option<f64>,
}

/// A suggestion that was refused.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Refused {
    /// The name of the voice.
    pub voice: String,
    /// The number of the event, as of a [`Suggestion`].
    pub event: u32,
    /// What is printed.
    pub printed: String,
    /// What was suggested instead.
    pub read: String,
}
