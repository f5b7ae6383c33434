//! The parts file: what a person types, one line of text after another, for voices that the
//! source prints without bar lines.
//!
//! [`parse`] never fails and never recurses: it gives the printed voices as far as they could be
//! read, and a list of diagnostics. [`tidy`] writes the one canonical form. [`Edit`]s change a
//! place of the text and keep all else byte for byte. How long a value lasts is not known here.
//!
//! ```
//! use notation::{Code, Spelling, apply, parse, tidy};
//!
//! let text = "voice Cantus clef C1\n  SB A4 B lg C5 //\n";
//! let parsed = parse(text);
//! assert_eq!(parsed.piece.voices[0].name, "Cantus");
//! let found = &parsed.diagnostics[0]; // `SB` is meant as `sb`, and read so
//! assert_eq!(found.code, Code::UnknownWord);
//!
//! let mended = apply(text, &[found.fix.clone().unwrap()]);
//! let tidied = tidy(&mended, Spelling::default()).unwrap();
//! assert_eq!(tidied, "voice Cantus  clef C1\n  sb A4 B lg C //\n");
//! ```

mod clef_meant;
mod clefless;
mod code;
mod diagnostic;
mod edit;
mod glossary;
mod hand;
mod lexer;
mod limits;
mod mark;
mod note_sign;
mod octaves;
mod parser;
mod piece;
mod span;
mod tidy;
mod undecided;
mod voice_names;
mod words;

pub use clefless::clefless;
pub use code::{Code, Severity};
pub use diagnostic::Diagnostic;
pub use edit::{
    Beside, Change, Changed, Edit, Manner, NewEvent, Variant, apply, change, variants,
    with_editorial_signs, with_facsimiles,
};
pub use glossary::Term;
pub use hand::Hand;
pub use lexer::{Token, TokenKind, tokens};
pub use limits::{
    LARGEST_TEXT, MOST_EVENTS, MOST_EXAMPLES, MOST_MARKED, MOST_MARKS, MOST_MINIMS, MOST_VOICES,
    SECTION_END, longest_voice, too_long,
};
pub use mark::{MarkColor, MarkShape};
pub use note_sign::{NoteSign, NoteSignDescription, NoteSigns};
pub use octaves::{Evidence, octaves_asked_for};
pub use parser::{Examples, Parsed, examples, may_name_a_voice, parse, text_of};
pub use piece::{
    Break, Canon, Dot, EditorsHand, EditorsMark, Event, Facsimile, Group, Head, Item, ItemId,
    ItemKind, Layout, Note, Piece, Sound, Standing, Subject, Text, Voice,
};
pub use span::{LineIndex, Span};
pub use tidy::{Digits, Spelling, print, tidy, tidy_example};
pub use undecided::{DoubtfulClef, Undecided};
pub use voice_names::{part_book, usual_names};
pub use words::{Word, word};
