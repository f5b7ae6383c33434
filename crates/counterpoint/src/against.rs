//! One voice held against the others: what the rules observe at each of its notes, where they stand
//! or would stand.

use std::ops::Range;

use crate::dyad::Dyad;
use crate::rules::rule::{Heard, Meeting};
use crate::rules::{Sink, at_event, at_meeting};
use crate::texture::{Height, Note, Texture};

/// One voice against the others.
pub(crate) struct Against<'t> {
    texture: &'t Texture,
    /// The voices it is held against.
    others: Vec<Other<'t>>,
    /// All moments at which one of them begins a note, in order.
    moments: Vec<i64>,
    /// For each section the onsets of the others' finals.
    finals: Vec<Vec<i64>>,
    /// The next moment.
    next: usize,
}

/// A voice that another is held against.
struct Other<'t> {
    line: usize,
    notes: &'t [Note],
    /// Where it was last.
    cursor: usize,
    /// What it sounded then.
    sounds: Option<(&'t Note, Height)>,
}

/// More voices than so many are not held against one: the nearest, and the lowest, say enough.
const MOST_OTHERS: usize = 8;

impl<'t> Against<'t> {
    /// A voice against the others of its texture: the nearest and the lowest, if they are many.
    pub(crate) fn new(texture: &'t Texture, voice: usize) -> Against<'t> {
        let mut others: Vec<usize> =
            (0..texture.lines.len()).filter(|other| *other != voice).collect();
        if others.len() > MOST_OTHERS {
            let last = texture.lines.len() - 1;
            others.sort_by_key(|other| (*other != last, other.abs_diff(voice)));
            others.truncate(MOST_OTHERS);
            others.sort_unstable();
        }
        Against::these(texture, others)
    }

    /// A voice against all others of its texture, however many.
    pub(crate) fn all(texture: &'t Texture, voice: usize) -> Against<'t> {
        let others = (0..texture.lines.len()).filter(|other| *other != voice).collect();
        Against::these(texture, others)
    }

    fn these(texture: &'t Texture, others: Vec<usize>) -> Against<'t> {
        let other = |line: usize| {
            let notes = texture.lines[line].notes.as_slice();
            Other { line, notes, cursor: 0, sounds: None }
        };
        let others: Vec<Other<'t>> = others.into_iter().map(other).collect();
        let notes = || others.iter().flat_map(|other| other.notes);
        let mut moments: Vec<i64> =
            notes().filter(|note| note.pitch.is_some()).map(|note| note.onset).collect();
        moments.sort_unstable();
        moments.dedup();
        let sections = texture.bounds.len().saturating_sub(1).max(1);
        let mut finals = vec![Vec::new(); sections];
        for note in notes().filter(|note| note.facts.last) {
            if note.facts.printed && note.pitch.is_some() {
                finals.resize(finals.len().max(note.section as usize + 1), Vec::new());
                finals[note.section as usize].push(note.onset);
            }
        }
        Against { texture, others, moments, finals, next: 0 }
    }

    /// The onsets of the other voices' finals in a section.
    pub(crate) fn finals(&self, section: u32) -> &[i64] {
        self.finals.get(section as usize).map_or(&[], Vec::as_slice)
    }

    /// The notes of the other voices that sound within so many ticks of a moment.
    pub(crate) fn near(&self, at: i64, within: i64) -> impl Iterator<Item = &'t Note> {
        self.others.iter().flat_map(move |other| {
            let first = other.notes.partition_point(|note| note.end <= at - within);
            other.notes[first..].iter().take_while(move |note| note.onset <= at + within)
        })
    }

    /// Begins a pass from a moment on.
    pub(crate) fn seek(&mut self, at: i64) {
        for other in &mut self.others {
            other.cursor = partition_near(other.notes, other.cursor, |note| note.end <= at);
        }
        self.next = partition_near(&self.moments, self.next, |moment| *moment < at);
    }

    /// What is observed at a stretch of a voice's notes, moved by so many ticks; `done` is told
    /// after each note.
    pub(crate) fn stretch<S: Sink>(
        &mut self,
        notes: &[Note],
        range: Range<usize>,
        shift: i64,
        sink: &mut S,
        mut done: impl FnMut(&S),
    ) {
        let mut section = None;
        for place in range {
            let note = &notes[place];
            if section != Some(note.section) {
                self.seek(note.onset + shift);
                section = Some(note.section);
            }
            let before = place.checked_sub(1).map(|before| &notes[before]);
            self.note(before, note, shift, sink);
            done(sink);
        }
    }

    /// What is observed at a note that begins so many ticks later than it stands. Notes of a pass
    /// are asked for in order.
    pub(crate) fn note(
        &mut self,
        before: Option<&Note>,
        note: &Note,
        shift: i64,
        sink: &mut impl Sink,
    ) {
        let end = self.texture.end_of(note);
        let onset = note.onset + shift;
        // A final is held to the end, wherever it begins.
        let over =
            if note.facts.last { end.max(onset + 1) } else { note.onset + note.length + shift };
        let finals = self.finals(note.section);
        let heard = Heard { note, before, onset, over, finals };
        at_event(&heard, sink);
        if let Some(height) = note.pitch {
            self.meetings(note, height, Stay { onset, over }, sink);
        }
    }

    /// What a note makes with those of the other voices, at its own beginning and at theirs.
    fn meetings(&mut self, note: &Note, height: Height, stay: Stay, sink: &mut impl Sink) {
        while self.moments.get(self.next).is_some_and(|moment| *moment < stay.onset) {
            self.next += 1;
        }
        self.moment(note, height, stay.onset, stay, sink);
        let mut next = self.next;
        if self.moments.get(next) == Some(&stay.onset) {
            next += 1;
        }
        while let Some(at) = self.moments.get(next).copied().filter(|at| *at < stay.over) {
            self.moment(note, height, at, stay, sink);
            next += 1;
        }
        self.next = next;
    }

    /// What a note makes with the others at a moment: with all that sound if it is struck there,
    /// else with those that are.
    fn moment(&mut self, note: &Note, height: Height, at: i64, stay: Stay, sink: &mut impl Sink) {
        let mut lowest = (height.rung, height.semitones);
        for other in &mut self.others {
            let notes = other.notes;
            while notes.get(other.cursor).is_some_and(|note| note.end <= at) {
                other.cursor += 1;
            }
            let held = notes.get(other.cursor).filter(|note| note.onset <= at);
            other.sounds = held.and_then(|note| Some((note, note.pitch?)));
            if let Some((_, height)) = other.sounds {
                lowest = lowest.min((height.rung, height.semitones));
            }
        }
        let strength = note.measure.rank(at).into();
        let struck = at == stay.onset;
        for Other { line, sounds, .. } in &self.others {
            let Some((other, with)) = *sounds else { continue };
            let struck = (struck, other.onset == at);
            if struck == (false, false) {
                continue;
            }
            let lower = (height.rung, height.semitones).min((with.rung, with.semitones));
            let dyad = Dyad::of(height, with, lower == lowest);
            let meeting = Meeting { one: note, other, line: *line, at, struck, dyad, strength };
            at_meeting(&meeting, sink);
        }
    }
}

/// When a note sounds.
#[derive(Clone, Copy)]
struct Stay {
    onset: i64,
    over: i64,
}

/// The place of the first item of which something does not hold that holds of all before it, looked
/// for outwards from a place that is near it as a rule.
fn partition_near<T>(items: &[T], near: usize, holds: impl Fn(&T) -> bool) -> usize {
    let near = near.min(items.len());
    let (mut low, mut high) = (near, near);
    let mut stride = 1;
    while low > 0 && !holds(&items[low - 1]) {
        high = low - 1;
        low = low.saturating_sub(stride);
        stride *= 2;
    }
    stride = 1;
    while high < items.len() && holds(&items[high]) {
        low = high + 1;
        high = (high + stride).min(items.len());
        stride *= 2;
    }
    low + items[low..high].partition_point(holds)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_found_from_wherever_it_is_looked_for() {
        for length in 0..20 {
            let items: Vec<usize> = (0..length).collect();
            for (near, first) in
                (0..=length + 1).flat_map(|near| (0..=length).map(move |f| (near, f)))
            {
                assert_eq!(partition_near(&items, near, |item| *item < first), first, "{near}");
            }
        }
    }
}
