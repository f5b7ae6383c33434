//! The critical report: everything in which the score is not simply what the source prints.
//!
//! Emendations, supplied notes, the editor's accidentals, lengths, dots and readings of time, readings
//! in doubt, variants that nobody has decided yet, and voices resolved from a canon. Entries stand as
//! they do in printed editions: by bar, and within a bar from the top voice down. Each can be set by
//! itself, and [`Report::text`] sets them all.

mod entries;
mod text;
mod words;

use std::collections::HashSet;

use notation::{Piece, Span};
use rudiments::Time;

use crate::places::{Numbers, Place, Places};
use crate::timed::{Heading, Score};

/// A critical report.
#[derive(Clone, PartialEq, Debug)]
pub struct Report {
    /// What stands over the piece.
    pub heading: Heading,
    /// The length of a full bar, by which bars are counted.
    pub bar: Time,
    /// What is to be reported, by bar and voice.
    pub entries: Vec<Entry>,
}

impl Report {
    /// What of it is about an excerpt of its piece: the voices that are there, and places in its bars.
    #[must_use]
    pub fn within(mut self, excerpt: &Score) -> Report {
        let voices: HashSet<&str> =
            excerpt.voices.iter().map(|voice| voice.name.as_str()).collect();
        let (first, last) = (excerpt.first_bar(), excerpt.bars.last().map_or(1, |bar| bar.number));
        let is_there = |place: &Place| (first..=last).contains(&place.bar);
        self.entries.retain(|entry| {
            voices.contains(entry.voice.as_str()) && entry.place.as_ref().is_none_or(is_there)
        });
        self
    }
}

/// One thing that is reported.
#[derive(Clone, PartialEq, Debug)]
pub struct Entry {
    /// What kind of thing it is.
    pub kind: EntryKind,
    /// Its voice.
    pub voice: String,
    /// Where it is in the score; nothing for a whole voice, or for one that has no music.
    pub place: Option<Place>,
    /// The line of the voice in the source, from 1, as `/` and `//` count them; nothing for a whole
    /// voice.
    pub line: Option<u32>,
    /// The numbers of the first and last notes or rests of the source that are concerned; where it
    /// prints none here, of the one that follows in [`Numbers::Before`].
    pub numbers: Numbers,
    /// Its first token in the parts file.
    pub span: Span,
    /// What the source has, in words; empty where it has nothing.
    pub printed: String,
    /// What is read, in words; empty where that is nothing.
    pub read: String,
    /// After whom it is read so.
    pub authority: Option<String>,
    /// All of it in a sentence without its place: `minim D4 in the source; emended to minim E4`.
    pub remark: String,
}

/// The kinds of entries.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum EntryKind {
    /// `< | >`: something else is read than what is printed.
    Emendation,
    /// `[ ]`: not in the source.
    Supplied,
    /// `F[#]`: the editor's accidental.
    Accidental,
    /// `D?`: hard to make out.
    Doubt,
    /// `D=5/2`: the editor's length.
    Length,
    /// `D.+`, `D.:`: the editor says what the dot does.
    Dot,
    /// `ratio`, `perfect`, `imperfect`: the editor says how time is counted.
    Counting,
    /// `<? | >`: yet to be decided.
    Variant,
    /// A voice that the source does not write out.
    Canon,
}

impl EntryKind {
    /// Its name, one word.
    pub fn name(self) -> &'static str {
        match self {
            EntryKind::Emendation => "emendation",
            EntryKind::Supplied => "supplied",
            EntryKind::Accidental => "accidental",
            EntryKind::Doubt => "doubt",
            EntryKind::Length => "length",
            EntryKind::Dot => "dot",
            EntryKind::Counting => "counting",
            EntryKind::Variant => "variant",
            EntryKind::Canon => "canon",
        }
    }
}

/// The critical report of a piece; bars are those of the score, which was aligned from it, and is whole.
///
/// What is told with an emendation, a supplied passage or a variant (an editor's accidental in it, say)
/// has no entry of its own.
pub fn report(piece: &Piece, score: &Score) -> Report {
    let mut found: Vec<(u32, usize, Entry)> = Vec::new();
    for (number, voice) in piece.voices.iter().enumerate() {
        let places = Places::of(piece, number, score);
        for entry in entries::of_voice(piece, voice, &places) {
            let bar = entry.place.as_ref().map_or(0, |place| place.bar);
            found.push((bar, number, entry));
        }
    }
    // Stable: within a bar and a voice entries stay in the order of the text.
    found.sort_by_key(|(bar, voice, _)| (*bar, *voice));
    let entries = found.into_iter().map(|(_, _, entry)| entry).collect();
    Report { heading: score.heading.clone(), bar: score.bar, entries }
}

#[cfg(test)]
mod tests;
