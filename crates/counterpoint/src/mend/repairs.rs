//! What may have gone wrong at a note, and how it would be read instead.

use std::ops::Range;

use notation::Dot;
use rudiments::{Accidental, Pitch, Tone, Value};
use score::NoteShape;

use super::counted::Recount;
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
fn ticks(value: Value, dotted: bool, measure: &Measure) -> i64 {
    let ticks = measure.ticks(measure.mensuration.full(value));
    if dotted { ticks + ticks / 2 } else { ticks }
}

/// A tone as the signature has it.
pub(crate) fn plain(tone: Tone, note: &Note) -> Height {
    let pitch = Pitch::new(tone, note.signature.alteration(tone.step));
    Height::of(pitch, note.signature)
}

/// A note with a sign before it.
pub(crate) fn signed(mut note: Note, sign: Accidental) -> Note {
    note.pitch = note.pitch.map(|pitch| {
        let tone = pitch.tone();
        let alteration = sign.alteration(tone.step, note.signature.alteration(tone.step));
        Height::of(Pitch::new(tone, alteration), note.signature)
    });
    note
}

/// Whether a sign may have been left out before a note that has none.
pub(crate) fn may_lack(note: &Note, sign: Accidental) -> bool {
    let Some(key) = note.pitch.filter(|key| !key.altered) else { return false };
    let step = key.tone().step;
    let signature = note.signature.alteration(step);
    let usual = match sign {
        Accidental::Sharp => signature < 0 || "FCG".contains(step.letter()),
        _ => "BEA".contains(step.letter()),
    };
    sign.alteration(step, signature) != signature && usual
}

/// A note so many steps away, under the same signature.
pub(crate) fn transposed(mut note: Note, steps: i32) -> Note {
    note.pitch = note.pitch.map(|pitch| plain(pitch.tone().up(steps), &note));
    note
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

/// The values of which one is looked for as left out.
const LEFT_OUT: [(Value, bool); 7] = [
    (Value::Breve, false),
    (Value::Semibreve, true),
    (Value::Semibreve, false),
    (Value::Minim, true),
    (Value::Minim, false),
    (Value::Semiminim, false),
    (Value::Fusa, false),
];

/// Steps from its neighbours at which a note is looked for that was left out.
const NEAR: [i32; 5] = [0, -1, 1, -2, 2];

/// The candidates of rhythm at a note. Notes left out come with the tone of the note before; see
/// [`tones_left_out`].
pub(crate) fn rhythm(line: &Line, at: usize, mut found: impl FnMut(Candidate)) {
    let notes = &line.notes;
    let note = &notes[at];
    let perfect = note.measure.is_perfect();
    let mut recount = Recount::at(line, at);
    let mut found = |kind, repair, shift| {
        if perfect {
            recount.with(kind, repair).into_iter().for_each(&mut found);
        } else {
            let Range { start: from, end: to } = own(repair, at);
            found(Candidate { kind, repair, at, from, to, shift, lengths: Vec::new() });
        }
    };
    let value = note.shape.value;
    let plain = ticks(value, false, &note.measure);
    let dotted = if perfect { note.shape.dot.is_some() } else { note.length > plain };
    let regular = !note.facts.odd && note.shape.spaces.is_none();
    let one = &mut found;
    if regular && !note.facts.last {
        if let Some(value) = value.larger().filter(|value| *value >= Value::Longa) {
            one(Kind::ValueHalved, Repair::Value { value, dotted }, note.length);
        }
        if let Some(value) = value.smaller() {
            one(Kind::ValueDoubled, Repair::Value { value, dotted }, -(note.length / 2));
        }
        if dotted {
            let repair = Repair::Value { value, dotted: false };
            one(Kind::DotTooMany, repair, plain - note.length);
        } else if note.pitch.is_some() || value == Value::Minim || value == Value::Semibreve {
            one(Kind::DotMissing, Repair::Value { value, dotted: true }, plain / 2);
        }
    }
    let before = |places: usize| {
        let before = notes.get(at.checked_sub(places)?)?;
        (before.section == note.section).then_some(before)
    };
    let same = |other: &Note| {
        let alike = (other.shape.value, other.shape.dot) == (note.shape.value, note.shape.dot);
        (if perfect { alike } else { other.length == note.length })
            && other.pitch.map(|pitch| pitch.rung) == note.pitch.map(|pitch| pitch.rung)
    };
    let before_it = before(1);
    let twin = before_it.is_some_and(same);
    // Of several rests alike, any may be too many: the second stands for them all.
    let stands_for = note.pitch.is_some()
        || if twin { !before(2).is_some_and(same) } else { !notes.get(at + 1).is_some_and(same) };
    if !note.facts.last && (twin || note.pitch.is_none()) && stands_for {
        let kind = match (twin, note.pitch.is_some()) {
            (true, true) => Kind::NoteTwice,
            (true, false) => Kind::RestTwice,
            _ => Kind::RestTooMany,
        };
        one(kind, Repair::Delete, -note.length);
    }
    if let Some(next) = notes.get(at + 1)
        && regular
        && dotted
        && !next.facts.last
        && !next.facts.odd
        && next.section == note.section
        && next.shape.dot.is_none()
        && Some(next.shape.value) == value.smaller()
    {
        let both = |to: fn(Value) -> Option<Value>| Some((to(value)?, to(next.shape.value)?));
        let mut pair = |kind, values: Option<(Value, Value)>, shift| {
            if let Some((first, second)) = values {
                found(kind, Repair::Pair { first, second }, shift);
            }
        };
        let length = note.length + next.length;
        pair(Kind::PairHalved, both(Value::larger), length);
        pair(Kind::PairDoubled, both(Value::smaller), -(length / 2));
    }
    let tone = near(line, at).map(Height::tone);
    let beside_rests = note.pitch.is_none()
        || before_it.is_some_and(|before| before.pitch.is_none() && before.facts.printed);
    for (value, dotted) in LEFT_OUT {
        let length = ticks(value, dotted, &note.measure);
        if let Some(tone) = tone {
            found(Kind::NoteLeftOut, Repair::InsertNote { value, dotted, tone }, length);
        }
        if !dotted && value <= Value::Minim {
            let kind = if beside_rests { Kind::RestLeftOut } else { Kind::RestBetweenNotesLeftOut };
            found(kind, Repair::InsertRest { value }, length);
        }
    }
}

/// The note from which a note that was left out is looked for.
fn near(line: &Line, at: usize) -> Option<Height> {
    let before = at.checked_sub(1).and_then(|before| line.notes[before].pitch);
    before.or(line.notes[at].pitch)
}

/// The tones of a note left out before another: near the note before, and near the one after.
pub(crate) fn tones_left_out(line: &Line, at: usize) -> Vec<Tone> {
    let before = near(line, at).map(Height::tone);
    let after = line.notes[at].pitch.map(Height::tone);
    let mut tones: Vec<Tone> = [before, after]
        .into_iter()
        .flatten()
        .flat_map(|tone| NEAR.map(|steps| tone.up(steps)))
        .collect();
    tones.sort_unstable();
    tones.dedup();
    tones
}

/// The candidates of another tone at a note.
pub(crate) fn pitch(line: &Line, at: usize, mut found: impl FnMut(Candidate)) {
    let note = &line.notes[at];
    let Some(key) = note.pitch else { return };
    let tone = key.tone();
    for (kind, steps) in [(Kind::Step, 1), (Kind::Third, 2), (Kind::Octave, 7)] {
        for steps in [steps, -steps] {
            let repair = Repair::Tone(tone.up(steps));
            found(Candidate::of_pitch(kind, repair, at, at + 1));
        }
    }
    let next = line.notes.get(at + 1).filter(|next| next.section == note.section);
    let next = next.filter(|next| next.facts.printed).and_then(|next| next.pitch);
    if let Some(next) = next.filter(|next| next.rung != key.rung) {
        let repair = Repair::Exchange { first: next.tone(), second: tone };
        found(Candidate::of_pitch(Kind::Exchanged, repair, at, at + 2));
    }
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
