//! From the sorts that are read on the staves of a source to the text of a parts file.
//!
//! [`read()`] takes the rows of each voice, in order, and gives what a reader of another format gives: the
//! text, and remarks. What hangs on its neighbours is decided here: which clef and signature all lines
//! agree in, whose an accidental is, which notes are one ligature, which black notes go together. What was
//! read with little confidence is marked `?`, and stands first among the remarks, the least sure first,
//! with what it may be instead.

mod agreement;
mod apart;
mod beginnings;
mod black;
mod doubts;
mod habits;
mod ligatures;
mod standing;
mod things;
mod turns;
mod voice;
mod words;

use std::error;
use std::fmt;

pub use apart::{ToldApart, apart_by, from_the_top, seeming_voices, told_apart};
pub use standing::sorts;
pub use turns::in_turn;

use beginnings::is_event;
use doubts::Doubt;
use exchange::{Reading, Remark, voice_name};
use facsimile::Row;
use notation::{
    Digits, Event, Facsimile, Head, Item, ItemKind, MOST_VOICES, Piece, Span, Spelling, Voice,
    print,
};
use things::{Said, Thing};
use voice::Set;

/// A staff with music on it.
#[derive(Clone, PartialEq, Debug)]
pub struct StaffLine {
    /// What is read on it.
    pub row: Row,
    /// Where it stands; its voice and line are filled in.
    pub place: Option<Facsimile>,
    /// Whether it is the last of its page.
    pub ends_page: bool,
}

impl StaffLine {
    /// Whether a note or a rest is read on it.
    pub fn has_music(&self) -> bool {
        self.row.sorts.iter().any(|read| is_event(read.sort.kind))
    }
}

/// A voice with its lines in order.
#[derive(Clone, PartialEq, Debug)]
pub struct Part {
    /// Its name, or one of which a name can be made.
    pub name: String,
    /// Its lines; empty staves among them are passed over.
    pub lines: Vec<StaffLine>,
}

/// Why there is no parts file.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Unread {
    /// More voices than a parts file has.
    TooManyVoices(usize),
    /// No note and no rest is read on any staff of this voice.
    NoMusic(String),
    /// No clef is read on any line of this voice.
    NoClef(String),
    /// Too much of this voice is doubtful: so many of so many notes and rests.
    Doubtful(String, usize, usize),
}

impl fmt::Display for Unread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unread::TooManyVoices(count) => {
                write!(f, "these are {count} voices, and a parts file holds at most {MOST_VOICES}")
            }
            Unread::NoMusic(voice) => write!(f, "{voice}: no music is found"),
            Unread::NoClef(voice) => write!(
                f,
                "{voice}: no clef is read on any of its lines; is it music of about 1500 to 1650?"
            ),
            Unread::Doubtful(voice, doubtful, all) => write!(
                f,
                "{voice}: no music is read with any confidence: {doubtful} of {all} notes and rests are \
                 doubtful; does the picture show this voice, in the notation of about 1500 to 1650?"
            ),
        }
    }
}

impl error::Error for Unread {}

/// A voice of which more than one note or rest in so many is doubtful is not read. Of the sixty voices of the
/// madrigals, one in seven is the most; of modern scores drawn here, nearly half is the least.
const MOST_DOUBTFUL: usize = 3;

/// The text of a parts file with these voices, top voice first, each by itself as it is likeliest.
///
/// # Errors
/// If a voice has no music, no clef, or is doubtful for the most part.
pub fn read(parts: &[Part]) -> Result<Reading, Unread> {
    let parts = named(parts)?;
    Ok(reading(&parts, sets(&parts)?))
}

/// The same, but where the staves leave a choice, the reading is taken under which the voices agree.
///
/// # Errors
/// As [`read()`].
pub fn read_together(parts: &[Part]) -> Result<Reading, Unread> {
    let parts = named(parts)?;
    let sets = sets(&parts)?;
    let piece = piece(&parts, sets.clone());
    let parts = agreement::agreed(&parts, &sets, &piece);
    let sets = self::sets(&parts)?;
    Ok(reading(&parts, sets))
}

/// The parts with names of their own, and their lines with music as the habits of prints have them.
fn named(parts: &[Part]) -> Result<Vec<Part>, Unread> {
    if parts.len() > MOST_VOICES {
        return Err(Unread::TooManyVoices(parts.len()));
    }
    let mut names: Vec<String> = Vec::new();
    let mut found = Vec::with_capacity(parts.len());
    for part in parts {
        let name = voice_name(&part.name, &names);
        names.push(name.clone());
        let lines: Vec<StaffLine> =
            part.lines.iter().filter(|line| line.has_music()).cloned().collect();
        if lines.is_empty() {
            return Err(Unread::NoMusic(name));
        }
        found.push(Part { name, lines });
    }
    let rows = |part: &Part| part.lines.iter().map(|line| line.row.clone()).collect::<Vec<Row>>();
    let all: Vec<Vec<Row>> = found.iter().map(rows).collect();
    let ending = habits::ending(all.iter().map(Vec::as_slice));
    for (part, rows) in found.iter_mut().zip(all) {
        for (line, row) in part.lines.iter_mut().zip(habits::applied(rows, ending)) {
            line.row = row;
        }
    }
    Ok(found)
}

/// The voices, set.
fn sets(parts: &[Part]) -> Result<Vec<Set>, Unread> {
    let set = |part: &Part| {
        let set = voice::set(&part.lines).ok_or_else(|| Unread::NoClef(part.name.clone()))?;
        let (doubtful, all) = doubts::share(&set, &part.lines);
        if MOST_DOUBTFUL * doubtful > all {
            return Err(Unread::Doubtful(part.name.clone(), doubtful, all));
        }
        Ok(set)
    };
    parts.iter().map(set).collect()
}

/// The parts file of voices that are set.
fn reading(parts: &[Part], mut sets: Vec<Set>) -> Reading {
    let (mut doubts, mut others): (Vec<Doubt>, Vec<Remark>) = (Vec::new(), Vec::new());
    for (part, set) in parts.iter().zip(&mut sets) {
        doubts.extend(doubts::mark(set, &part.lines, &part.name));
        for said in set.said.drain(..) {
            take(&mut others, remark(&part.name, said));
        }
    }
    doubts.sort_by(|a, b| a.sure.total_cmp(&b.sure));
    let remarks = doubts.into_iter().map(|doubt| doubt.remark).chain(others).collect();
    // An octave at every note: so no slip in one makes another.
    let spelling = Spelling { letters: false, digits: Digits::Every };
    Reading { text: print(&piece(parts, sets), spelling), remarks }
}

fn piece(parts: &[Part], sets: Vec<Set>) -> Piece {
    let mut facsimiles = Vec::new();
    for (voice, part) in parts.iter().enumerate() {
        for (line, staff) in (1..).zip(&part.lines) {
            let place = staff.place.clone();
            facsimiles.extend(place.map(|place| Facsimile { voice: Some(voice), line, ..place }));
        }
    }
    let voices: Vec<Voice> =
        parts.iter().zip(sets).map(|(part, set)| printed(part.name.clone(), set)).collect();
    let shared = voices.iter().map(|voice| (voice.signature, voice.sign));
    let head = Head { facsimiles, ..Head::of_voices(shared) };
    Piece { head, voices, ..Piece::default() }
}

/// Adds a remark, or counts it if the same is there.
fn take(remarks: &mut Vec<Remark>, remark: Remark) {
    let is_it = |other: &&mut Remark| {
        (&other.file, other.line, &other.what) == (&remark.file, remark.line, &remark.what)
    };
    match remarks.iter_mut().rev().find(is_it) {
        Some(known) => known.times += 1,
        None => remarks.push(remark),
    }
}

fn remark(voice: &str, said: Said) -> Remark {
    Remark { file: voice.to_owned(), line: said.line as u32 + 1, times: 1, what: said.what }
}

fn printed(name: String, set: Set) -> Voice {
    let kind = |thing: Thing| match thing {
        Thing::Event(played) => ItemKind::Event(Event { ligature: None, ..played.event }),
        Thing::Other(kind) => kind,
    };
    Voice {
        name,
        span: Span::default(),
        clef: Some(set.clef),
        signature: set.signature,
        sign: set.sign,
        positions: false,
        canon: None,
        items: set.things.into_iter().map(|thing| Item::new(kind(thing))).collect(),
    }
}

#[cfg(test)]
mod tests;
