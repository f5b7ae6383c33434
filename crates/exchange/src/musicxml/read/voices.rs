//! From the parts of the file to voices, each with one thing at a time.

use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::ops::Bound;

use notation::{MOST_VOICES, NoteSign, NoteSigns};
use rudiments::{Clef, Proportion, Sign, Signature, Time};

use super::grid::Grid;
use super::part::{BarLine, Change, Event, Head, MarkKind, Marking, Moment, Part, Staff};
use super::pitch::Transposition;
use crate::reading::{LONGEST_EVENT, Remarks};
use crate::{Fault, ReadError, names};

/// All voices, and where they have double bars.
pub(super) struct Voices {
    /// Top voice first; at least one.
    pub(super) voices: Vec<Voice>,
    /// The ends of sections, and whether the section is repeated.
    pub(super) ends: BTreeMap<Time, bool>,
}

/// A voice.
#[derive(Clone, Default)]
pub(super) struct Voice {
    pub(super) name: String,
    /// Its notes, in order and one after the other; and those rests that are not mere silence,
    /// which may overlap with them.
    pub(super) notes: Vec<Timed>,
    pub(super) rests: Vec<Timed>,
    /// Its clefs; nothing where one is to be found that fits.
    pub(super) clefs: Vec<(Time, Option<Clef>)>,
    pub(super) signatures: Vec<(Time, Signature)>,
    pub(super) signs: Vec<(Time, Sign)>,
    pub(super) words: Vec<(Time, String)>,
    /// The signs at notes that directions say.
    pub(super) note_signs: Vec<(Time, NoteSign)>,
    /// Marks, from when to when.
    pub(super) marks: Vec<(Time, Time, Marking)>,
}

/// A note, several at once, or a rest, at its time.
#[derive(Clone)]
pub(super) struct Timed {
    pub(super) onset: Time,
    pub(super) length: Time,
    pub(super) heads: Vec<Head>,
    pub(super) ratio: Option<Proportion>,
    pub(super) signs: NoteSigns,
    pub(super) byte: usize,
    staff: u32,
}

impl Timed {
    pub(super) fn end(&self) -> Time {
        self.onset + self.length
    }
}

/// Sorts the notes of all parts into voices.
///
/// # Errors
/// If there are more voices than a parts file may have, or a note is tied to too great a length.
pub(super) fn of_parts(
    parts: Vec<Part>,
    said: &[String],
    grid: &Grid,
    remarks: &mut Remarks,
) -> Result<Voices, ReadError> {
    let apart = parts.len() > 1;
    let mut voices: Vec<Voice> = Vec::new();
    let mut lines: Vec<Line> = Vec::new();
    // What each voice is called, where its part says something.
    let mut given: Vec<Option<String>> = Vec::new();
    for part in parts {
        lines.extend(part.bar_lines.iter().map(|(moment, kind, byte)| Line {
            at: grid.time(*moment),
            kind: *kind,
            byte: *byte,
        }));
        let name = part.name.clone();
        let of_part = of_part(part, grid, remarks)?;
        let several = of_part.len() > 1;
        for (place, voice) in of_part.into_iter().enumerate() {
            let of_part = name.as_deref().map(names::short);
            let of_voice = |name: String| format!("{name} {}", place + 1);
            given.push(if several { of_part.map(of_voice) } else { of_part });
            voices.push(voice);
        }
        if voices.len() > MOST_VOICES {
            let byte = voices.last().and_then(|voice| voice.notes.first()).map_or(0, |n| n.byte);
            return Err(remarks.error(byte, Fault::TooManyVoices { voices: voices.len() }));
        }
    }
    name_all(&mut voices, given, said, apart);
    let ends = ends(lines, &voices, grid.end(), remarks);
    Ok(Voices { voices, ends })
}

/// Names all voices: as their parts are called; else as the file says apart from these (`said`); else,
/// where each has a part of its own, as is usual for so many. Which voice of a single part is which
/// nobody knows: these have numbers.
fn name_all(voices: &mut [Voice], given: Vec<Option<String>>, said: &[String], apart: bool) {
    let count = voices.len();
    let said = if said.len() == count { said } else { &[] };
    let mut names: Vec<String> = Vec::with_capacity(count);
    for (place, (voice, given)) in voices.iter_mut().zip(given).enumerate() {
        let given = given.or_else(|| said.get(place).cloned());
        let unnamed =
            || if apart { names::by_place(place, count) } else { names::by_number(place) };
        let given = given.unwrap_or_else(unnamed);
        voice.name = names::voice_name(&given, &names);
        names.push(voice.name.clone());
    }
}

/// The voices of a part, from the top; at least one.
fn of_part(part: Part, grid: &Grid, remarks: &mut Remarks) -> Result<Vec<Voice>, ReadError> {
    let Part { voices: names, events, changes, marks, .. } = part;
    let mut by_voice: Vec<Vec<Timed>> = names.iter().map(|_| Vec::new()).collect();
    for event in events {
        by_voice[event.voice].push(timed(event, grid));
    }
    // Voices are numbered from the top; names that are no numbers follow as they come.
    let mut order: Vec<usize> = (0..names.len()).collect();
    order.sort_by_key(|place| names[*place].parse::<u64>().unwrap_or(u64::MAX));

    let mut voices: Vec<Voice> = Vec::new();
    // The voice of the file and the staff that each is.
    let mut origins: Vec<(Option<usize>, u32)> = Vec::new();
    for place in order {
        let mut events = std::mem::take(&mut by_voice[place]);
        events.sort_by_key(|event| event.onset);
        for lane in lanes(events, remarks) {
            origins.push((Some(place), main_staff(&lane.notes)));
            let (notes, rests) = (joined(lane.notes, remarks)?, lane.rests);
            voices.push(Voice { notes, rests, ..Voice::default() });
        }
        if voices.len() > MOST_VOICES {
            let byte = voices.last().and_then(|voice| voice.notes.first()).map_or(0, |n| n.byte);
            return Err(remarks.error(byte, Fault::TooManyVoices { voices: voices.len() }));
        }
    }
    if voices.is_empty() {
        origins.push((None, 1));
        voices.push(Voice::default());
    }
    for (voice, (_, staff)) in voices.iter_mut().zip(&origins) {
        take_changes(voice, *staff, &changes, grid);
    }
    for mark in marks {
        // A mark belongs to the voice that it names, or else to the first on its staff.
        let named = |(place, _): &(Option<usize>, u32)| place.is_some() && *place == mark.voice;
        let named = origins.iter().position(named);
        let on_staff = || origins.iter().position(|(_, staff)| *staff == mark.staff);
        let voice = &mut voices[named.or_else(on_staff).unwrap_or(0)];
        let at = grid.time(mark.at);
        match mark.kind {
            MarkKind::Words(words) => voice.words.push((at, words)),
            MarkKind::Sign(sign) => voice.note_signs.push((at, sign)),
            MarkKind::Mark(until, marking) => match until.map(|until| grid.time(until)) {
                Some(until) if until > at => voice.marks.push((at, until, marking)),
                // What has no end is over its first note alone, as words are.
                _ if marking.words.is_empty() => {}
                _ => voice.words.push((at, marking.words)),
            },
        }
    }
    for voice in &mut voices {
        voice.words.sort_by_key(|(at, _)| *at);
        voice.note_signs.sort_by_key(|(at, _)| *at);
    }
    Ok(voices)
}

fn timed(event: Event, grid: &Grid) -> Timed {
    let Event { at, length, staff, heads, ratio, signs, byte, .. } = event;
    Timed { onset: grid.time(at), length, heads, ratio, signs, byte, staff }
}

/// What sounds one after the other, and the rests that belong to it.
#[derive(Default)]
struct Lane {
    notes: Vec<Timed>,
    rests: Vec<Timed>,
}

/// The lanes of a voice, in which notes do not overlap. A voice has one. Where it has more, its
/// staves are taken for voices, as some programs number them anew on each staff; what overlaps
/// still is put into as few more lanes as can be. Events are in order of their onsets.
fn lanes(events: Vec<Timed>, remarks: &mut Remarks) -> Vec<Lane> {
    let (notes, rests): (Vec<Timed>, Vec<Timed>) =
        events.into_iter().partition(|event| !event.heads.is_empty());
    if notes.is_empty() {
        return Vec::new();
    }
    if notes.is_sorted_by(|one, next| one.end() <= next.onset) {
        return vec![Lane { notes, rests }];
    }
    let mut staves: BTreeMap<u32, Lane> = BTreeMap::new();
    for note in notes {
        staves.entry(note.staff).or_default().notes.push(note);
    }
    for rest in rests {
        if let Some(lane) = staves.get_mut(&rest.staff) {
            lane.rests.push(rest);
        }
    }
    let mut lanes: Vec<Lane> = Vec::new();
    for lane in staves.into_values() {
        let first = lanes.len();
        lanes.push(Lane { notes: Vec::new(), rests: lane.rests });
        for note in lane.notes {
            let free = |lane: &Lane| lane.notes.last().is_none_or(|last| last.end() <= note.onset);
            match lanes[first..].iter().position(free) {
                Some(place) => lanes[first + place].notes.push(note),
                None => {
                    let what = "notes that overlap with others of their voice have a voice of \
                                their own";
                    remarks.add(note.byte, what);
                    lanes.push(Lane { notes: vec![note], rests: Vec::new() });
                    // So many voices are refused anyway.
                    if lanes.len() > MOST_VOICES + 1 {
                        return lanes;
                    }
                }
            }
        }
    }
    lanes
}

/// Notes with those that are tied to them.
fn joined(notes: Vec<Timed>, remarks: &mut Remarks) -> Result<Vec<Timed>, ReadError> {
    let mut joined: Vec<Timed> = Vec::with_capacity(notes.len());
    for note in notes {
        let tied = note.heads.iter().filter(|head| head.tied).count();
        if tied > 0 {
            if let Some(before) = joined.last_mut()
                && tied == note.heads.len()
                && before.end() == note.onset
                && same_tones(&before.heads, &note.heads)
            {
                before.length += note.length;
                before.signs.extend(note.signs.iter());
                if before.length > Time::minims(LONGEST_EVENT) {
                    return Err(remarks.error(note.byte, Fault::TooLong));
                }
                continue;
            }
            let what = "a tie that does not join whole notes or chords of one voice is not kept";
            remarks.add(note.byte, what);
        }
        joined.push(note);
    }
    Ok(joined)
}

fn same_tones(one: &[Head], other: &[Head]) -> bool {
    let has = |heads: &[Head], head: &Head| heads.iter().any(|h| h.pitch.tone == head.pitch.tone);
    one.len() == other.len() && one.iter().all(|head| has(other, head))
}

/// The staff on which most of some notes stand; of several, the first.
fn main_staff(notes: &[Timed]) -> u32 {
    let mut counts: BTreeMap<u32, usize> = BTreeMap::new();
    for note in notes {
        *counts.entry(note.staff).or_default() += 1;
    }
    counts.into_iter().max_by_key(|(staff, count)| (*count, Reverse(*staff))).map_or(1, |(s, _)| s)
}

/// Takes over what changes on the staff of a voice. A voice that wanders between staves has no
/// clef of its own.
fn take_changes(voice: &mut Voice, staff: u32, changes: &[(Moment, Staff, Change)], grid: &Grid) {
    let wanders = voice.notes.iter().any(|note| note.staff != staff);
    let (mut written, mut transposition) = (Signature::NONE, Transposition::default());
    let here = changes.iter().filter(|(_, on, _)| on.is_none_or(|on| on == staff));
    for (moment, _, change) in here {
        let at = grid.time(*moment);
        match change {
            Change::Clef(clef) if !wanders => voice.clefs.push((at, *clef)),
            Change::Clef(_) => {}
            Change::Sign(sign) => voice.signs.push((at, *sign)),
            Change::Signature(signature) => written = *signature,
            Change::Transposition(other) => transposition = *other,
        }
        if matches!(change, Change::Signature(_) | Change::Transposition(_)) {
            voice.signatures.push((at, transposition.of_signature(written)));
        }
    }
    voice.clefs.sort_by_key(|(at, _)| *at);
    voice.signatures.sort_by_key(|(at, _)| *at);
    voice.signs.sort_by_key(|(at, _)| *at);
}

/// The ends of sections: where any part has a double bar or a repeat, and no note of any voice is
/// held across it. The end of the piece is one only where something is repeated.
fn ends(
    mut lines: Vec<Line>,
    voices: &[Voice],
    end: Time,
    remarks: &mut Remarks,
) -> BTreeMap<Time, bool> {
    let mut ends: BTreeMap<Time, bool> = BTreeMap::new();
    for Line { at, kind, .. } in &lines {
        if at.is_positive() && (*at < end || *kind == BarLine::Repeat) {
            *ends.entry((*at).min(end)).or_default() |= *kind == BarLine::Repeat;
        }
    }
    for note in voices.iter().flat_map(|voice| &voice.notes) {
        let within = (Bound::Excluded(note.onset), Bound::Excluded(note.end()));
        let held: Vec<Time> = ends.range(within).map(|(at, _)| *at).collect();
        for at in held {
            ends.remove(&at);
            remarks.add(note.byte, "a double bar across which a note is held is not kept");
        }
    }
    lines.sort_by_key(|line| line.at);
    let mut begin = Time::ZERO;
    for Line { at, kind, byte } in lines {
        let back_over = kind == BarLine::Repeat
            && begin < at
            && ends.range((Bound::Excluded(begin), Bound::Excluded(at))).next().is_some();
        if back_over {
            let what = "a repeat that goes back over a double bar goes back only to that";
            remarks.add(byte, what);
        }
        if kind != BarLine::Section {
            begin = at;
        }
    }
    ends
}

/// A bar line at its time.
struct Line {
    at: Time,
    kind: BarLine,
    byte: usize,
}
