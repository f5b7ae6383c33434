//! A stretch of a voice read in another way: what is read there, and what moves.

use std::ops::Range;

use notation::Dot;
use rudiments::{Accidental, Pitch, Tone, Value};
use score::NoteShape;

use crate::length::Length;
use crate::slip::{Kind, Repair};
use crate::texture::{Height, Line, Measure, Note, relate};

/// A stretch of a voice read in another way.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Candidate {
    pub(crate) kind: Kind,
    pub(crate) repair: Repair,
    /// The note of which this is said.
    pub(crate) at: usize,
    /// The notes from `from` up to `to` are replaced by others.
    pub(crate) from: usize,
    pub(crate) to: usize,
    /// By how many ticks all that follows in the section moves.
    pub(crate) shift: i64,
    /// Where values are perfect, how long each of the notes lasts that are read from `from` up to
    /// `to`, the slip and the neighbours whose lengths it changes; else nothing.
    pub(crate) lengths: Vec<i64>,
}

impl Candidate {
    /// A repair of the pitches from a note on; no time changes.
    pub(crate) fn of_pitch(kind: Kind, repair: Repair, at: usize, to: usize) -> Candidate {
        Candidate { kind, repair, at, from: at, to, shift: 0, lengths: Vec::new() }
    }

    /// Whether the direct before it announces what it reads, and not what is typed: then the source
    /// itself says that this is a slip.
    pub(crate) fn is_announced(&self, line: &Line) -> bool {
        let typed = &line.notes[self.at];
        let Some(direct) = typed.facts.direct else { return false };
        let rung = |note: &Note| note.pitch.map(|pitch| pitch.rung);
        rung(typed) != Some(direct)
            && self.from < self.to
            && self.read(line).first().and_then(rung) == Some(direct)
    }

    /// The notes that are read in place of those from `from` up to `to`.
    pub(crate) fn read(&self, line: &Line) -> Vec<Note> {
        if self.lengths.is_empty() {
            return self.repaired(&line.notes[self.from..self.to], line);
        }
        let own = own(self.repair, self.at);
        let mut read = line.notes[self.from..own.start].to_vec();
        read.extend(self.repaired(&line.notes[own.clone()], line));
        let after = read.len();
        read.extend_from_slice(&line.notes[own.end..self.to]);
        if own.is_empty() && after < read.len() {
            announces_no_more(&mut read[after]);
        }
        let mut onset = line.notes[self.from].onset;
        for (note, length) in read.iter_mut().zip(&self.lengths) {
            note.onset = onset;
            *note = lasting(*note, *length);
            onset = note.end;
        }
        read
    }

    /// What is read in place of these notes.
    fn repaired(&self, notes: &[Note], line: &Line) -> Vec<Note> {
        match self.repair {
            Repair::Value { value, dotted } => vec![valued(notes[0], value, dotted)],
            Repair::Pair { first, second } => {
                let first = valued(notes[0], first, true);
                let mut second = valued(notes[1], second, false);
                move_by(&mut second, first.length - notes[0].length);
                vec![first, second]
            }
            Repair::Degrees { smaller, .. } => {
                let mut moved = 0;
                let scaled = |note: &Note| {
                    let length = by_degrees(note.length, smaller);
                    let mut read = lasting(*note, length);
                    read.shape.value =
                        note.shape.value.degrees_smaller(smaller).unwrap_or(note.shape.value);
                    move_by(&mut read, moved);
                    moved += length - note.length;
                    read
                };
                notes.iter().map(scaled).collect()
            }
            Repair::InsertNote { value, dotted, tone } => {
                let mut note = line.notes[self.at];
                note.pitch = Some(plain(tone, &note));
                vec![inserted(note, value, dotted)]
            }
            Repair::InsertRest { value } => {
                let mut note = line.notes[self.at];
                note.pitch = None;
                vec![inserted(note, value, false)]
            }
            Repair::Delete | Repair::InsertLine { .. } => Vec::new(),
            Repair::Tone(tone) => {
                let mut note = notes[0];
                note.pitch = Some(plain(tone, &note));
                vec![note]
            }
            Repair::Exchange { first, second } => {
                let with = |note: &Note, tone| Note { pitch: Some(plain(tone, note)), ..*note };
                vec![with(&notes[0], first), with(&notes[1], second)]
            }
            Repair::Sign(sign) => notes.iter().map(|note| signed(*note, sign)).collect(),
            Repair::Transpose { steps, .. } => {
                notes.iter().map(|note| transposed(*note, steps)).collect()
            }
        }
    }
}

/// The events to which a repair of values applies, at a note.
pub(super) fn own(repair: Repair, at: usize) -> Range<usize> {
    let events = match repair {
        Repair::InsertNote { .. } | Repair::InsertRest { .. } | Repair::InsertLine { .. } => 0,
        Repair::Pair { .. } | Repair::Exchange { .. } => 2,
        Repair::Degrees { events, .. } | Repair::Transpose { events, .. } => events as usize,
        Repair::Value { .. } | Repair::Delete | Repair::Tone(_) | Repair::Sign(_) => 1,
    };
    at..at + events
}

/// A length so many degrees smaller; a minim has ticks enough for its quarter.
pub(crate) fn by_degrees(length: i64, smaller: i32) -> i64 {
    if smaller >= 0 { length >> smaller } else { length << -smaller }
}

/// How long a value lasts, in ticks, where nothing changes it.
pub(super) fn ticks(value: Value, dotted: bool, measure: &Measure) -> i64 {
    let ticks = measure.ticks(measure.mensuration.full(value));
    if dotted { ticks + ticks / 2 } else { ticks }
}

/// A tone as the signature has it.
pub(crate) fn plain(tone: Tone, note: &Note) -> Height {
    let pitch = Pitch::new(tone, note.signature.alteration(tone.step));
    Height::of(pitch, note.signature)
}

/// A note with a sign before it, or with none.
pub(crate) fn signed(mut note: Note, sign: Option<Accidental>) -> Note {
    note.pitch = note.pitch.map(|pitch| {
        let tone = pitch.tone();
        let signature = note.signature.alteration(tone.step);
        let alteration = sign.map_or(signature, |sign| sign.alteration(tone.step, signature));
        Height::of(Pitch::new(tone, alteration), note.signature)
    });
    note
}

/// A note so many steps away, under the same signature. A sign that stands before it goes with it.
pub(crate) fn transposed(note: Note, steps: i32) -> Note {
    let Some(pitch) = note.pitch else { return note };
    let sign = pitch.altered.then(|| {
        let before = pitch.pitch();
        let is_higher = before.alteration > note.signature.alteration(before.tone.step);
        if is_higher { Accidental::Sharp } else { Accidental::Flat }
    });
    let moved = Note { pitch: Some(plain(pitch.tone().up(steps), &note)), ..note };
    signed(moved, sign)
}

fn lasting(mut note: Note, length: i64) -> Note {
    note.length = length;
    note.end = note.onset + length;
    note.class = Length::of(length, note.measure.minim, note.pitch.is_none());
    note
}

/// A note with another value.
fn valued(mut note: Note, value: Value, dotted: bool) -> Note {
    note.shape.value = value;
    note.shape.dot = dotted.then_some(Dot::Plain);
    lasting(note, ticks(value, dotted, &note.measure))
}

/// A note that stands before another, and takes over what the source says of the beginning.
fn inserted(before: Note, value: Value, dotted: bool) -> Note {
    let mut note = valued(before, value, dotted);
    note.shape = NoteShape {
        rest: note.pitch.is_none(),
        spaces: None,
        completing: false,
        colored: false,
        set: None,
        ..note.shape
    };
    note.facts.last = false;
    note.facts.line_sum = None;
    note.facts.bar_line = false;
    note.facts.odd = false;
    note.facts.printed = false;
    note.facts.doubted = false;
    if note.pitch.is_none() {
        note.facts.direct = None;
    }
    note
}

/// A note before which another was left out: that is what the direct announces, and where the line
/// begins.
fn announces_no_more(note: &mut Note) {
    note.facts.direct = None;
    note.facts.begins_line = false;
}

pub(crate) fn move_by(note: &mut Note, shift: i64) {
    note.onset += shift;
    note.end += shift;
}

/// A line with a candidate read.
pub(crate) fn applied(line: &Line, candidate: &Candidate) -> Line {
    let mut read = candidate.read(line);
    let section = line.notes.get(candidate.at).map(|note| note.section);
    let mut notes = line.notes.clone();
    for note in notes[candidate.to..].iter_mut().filter(|note| Some(note.section) == section) {
        move_by(note, candidate.shift);
    }
    if matches!(candidate.repair, Repair::InsertLine { .. }) {
        notes[candidate.at].facts.direct = None;
    }
    if candidate.from == candidate.to && !read.is_empty() {
        announces_no_more(&mut notes[candidate.at]);
    }
    notes.splice(candidate.from..candidate.to, read.drain(..));
    relate(&mut notes);
    Line { notes, ..line.clone() }
}
