//! How well a reading of a black group goes with the other voices.

use std::ops::Range;

use rudiments::{Time, Value};

use super::super::section::{InSection, SectionEvent};
use super::groups::{Line, Way};

/// So many notes before and after a group are looked at, and so many other voices.
const LOOKED_AT: usize = 8;
const VOICES: usize = 6;

/// By so much another reading must be better than the usual one, at least.
const CLEARLY: i32 = 4;

/// What it counts to end with most other voices. A slip elsewhere may keep a voice from that, so the
/// notes after a group must speak for its reading too.
const END_TOGETHER: i32 = 6;

/// The way in which the next group of a line goes best with the others.
///
/// Another than the usual one is only asked for where the notes after the group, read as usual, go
/// worse with the others than those before it: a voice that is astray already does not go astray by
/// its black notes.
pub(super) fn best(lines: &[Line<'_>], place: usize) -> Way {
    let line = &lines[place];
    let Some(group) = line.group() else { return Way::Thirds };
    let ways = Way::all(&line.section.events[group.clone()]);
    let usual = ways[0];
    let first = line.next.checked_sub(1).map_or(0, |before| line.groups[before].end);
    let before = first.max(group.start.saturating_sub(LOOKED_AT))..group.start;
    let after = after(line, &group);
    let by = moved_by(line, &group, usual).unwrap_or(Time::ZERO);
    let share = |sum: i32, of: &Range<usize>| f64::from(sum) / of.len().max(1) as f64;
    let was = share(go_together(lines, place, before.clone(), line.moved), &before);
    let is = share(go_together(lines, place, after.clone(), by), &after);
    if before.len() >= LOOKED_AT / 2 && !after.is_empty() && is >= was {
        return usual;
    }
    // Few notes say little.
    let clearly = CLEARLY + (LOOKED_AT - after.len()) as i32;
    let mut chosen = (usual, fits(lines, place, usual));
    for way in &ways[1..] {
        let fits = fits(lines, place, *way);
        let least = if chosen.0 == usual { clearly } else { 1 };
        if fits >= chosen.1 + least {
            chosen = (*way, fits);
        }
    }
    chosen.0
}

/// How well what comes after the next group of a line goes with the others, if the group is read in
/// a way.
pub(super) fn fits(lines: &[Line<'_>], place: usize, way: Way) -> i32 {
    let line = &lines[place];
    let Some(group) = line.group() else { return 0 };
    let Some(by) = moved_by(line, &group, way) else { return i32::MIN };
    let mut fits = go_together(lines, place, after(line, &group), by);
    let events = &line.section.events;
    if line.next + 1 == line.groups.len() {
        let by = if group.end == events.len() { line.moved } else { by };
        let last = events.last().map(|last| last.onset + by);
        let settled = || others(lines, place).filter(|other| other.group().is_none());
        let same = settled().filter(|other| other.last_onset() == last).count();
        fits += if same * 2 > settled().count() { END_TOGETHER } else { 0 };
    }
    fits
}

/// The events after a group up to the next.
fn after(line: &Line<'_>, group: &Range<usize>) -> Range<usize> {
    let next = line.groups.get(line.next + 1);
    let until = next.map_or(line.section.events.len(), |next| next.start);
    group.end..until.min(group.end + LOOKED_AT)
}

/// By how much what comes after a group would move.
fn moved_by(line: &Line<'_>, group: &Range<usize>, way: Way) -> Option<Time> {
    let events = &line.section.events;
    let total = way.total(&events[group.clone()])?;
    Some(events[group.start].onset + line.moved + total - events[group.end - 1].end())
}

/// The other voices, those next to it.
fn others<'l, 's>(lines: &'l [Line<'s>], place: usize) -> impl Iterator<Item = &'l Line<'s>> {
    let near = lines.len().min(VOICES + 1);
    let first = place.saturating_sub(VOICES / 2).min(lines.len() - near);
    let others = lines[first..first + near].iter().enumerate();
    others.filter(move |(at, _)| first + at != place).map(|(_, line)| line)
}

/// How well events of a voice go with the others if they are moved: a note at its natural place counts
/// two, one in the middle of such a place one, one that begins with another voice one more, and so
/// does one that is consonant.
fn go_together(lines: &[Line<'_>], place: usize, of: Range<usize>, by: Time) -> i32 {
    let events = lines[place].section.events[of].iter();
    let of_event = |event: &SectionEvent| {
        let at = event.onset + by;
        let (mut together, mut dissonant) = (false, false);
        for other in others(lines, place) {
            let Some(sounding) = other.at(at) else { continue };
            together |= other.onset(sounding) == at;
            dissonant |= clash(event, &other.section.events[sounding]);
        }
        let consonant = if event.is_rest() { 0 } else { 1 - 2 * i32::from(dissonant) };
        natural(event.value, at) + i32::from(together) + consonant
    };
    events.map(of_event).sum()
}

/// Whether a value naturally begins there: where a longer one could, or in the middle of that.
fn natural(value: Value, at: InSection) -> i32 {
    let natural = at.passed().within(value.plain()).is_zero();
    let middle = at.passed().within(value.plain().half()).is_zero();
    i32::from(natural) + i32::from(middle)
}

/// Whether two events make a second, a seventh or a tritone.
fn clash(one: &SectionEvent, other: &SectionEvent) -> bool {
    let key = |event: &SectionEvent| event.notes.first().map(|note| note.pitch.key_number());
    let Some((one, other)) = key(one).zip(key(other)) else { return false };
    matches!((one - other).rem_euclid(12), 1 | 2 | 6 | 10 | 11)
}
