//! The signs at notes as the format has them, for reading and for writing.
//!
//! A sign that is said in another way than these needs another case of [`Said`]. The compiler then
//! names what writes signs, `write/note.rs`; what reads them looks for the cases that it knows:
//! `read/walk/marks.rs` in directions, `read/walk/note.rs` in notations. If it is not read,
//! `tests/tests/exchange_round_trip.rs` fails.

use notation::NoteSign;

/// Where the format says that a sign stands at a note.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Said<'n> {
    /// In a direction before it, by this element.
    Direction(&'n str),
    /// In the notations of its first head, by this element.
    Notation(&'n str),
    /// As its level, in parentheses; not read, since what editors say of single notes is not.
    Level(&'n str),
}

impl Said<'_> {
    /// What is said of a sign.
    pub(super) fn of(sign: NoteSign) -> Said<'static> {
        match sign {
            NoteSign::Corona => Said::Notation("fermata"),
            NoteSign::Signum => Said::Direction("segno"),
            NoteSign::Doubt => Said::Level("doubtful"),
        }
    }

    /// The sign of which this is said.
    pub(super) fn sign(self) -> Option<NoteSign> {
        NoteSign::ALL.iter().copied().find(|sign| Said::of(*sign) == self)
    }
}
