//! What may have gone wrong at a note, and how it would be read instead.

use std::ops::Range;

use rudiments::{Accidental, Tone, Value};

use super::candidate::{Candidate, own, ticks};
use super::counted::Recount;
use crate::slip::{Kind, Repair};
use crate::texture::{Height, Line, Note};

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

/// Whether the sign before a note may be one too many: without it the note and its repetitions would be
/// as the signature has them. Directly after the same step it is meant: either it repeats the sign
/// there, or it tells the two notes apart.
pub(crate) fn may_have_too_many(notes: &[Note], at: usize) -> bool {
    let rung = |note: &Note| note.pitch.map(|pitch| pitch.rung);
    let again = at.checked_sub(1).is_some_and(|before| rung(&notes[before]) == rung(&notes[at]));
    notes[at].facts.signed && !again && notes[at].pitch.is_some_and(|key| key.altered)
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
