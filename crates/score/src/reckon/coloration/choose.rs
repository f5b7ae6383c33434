//! Black groups in duple time, one by one: which of their readings goes with the other voices.
//!
//! A group may be read in three ways at most ([`super::groups::Way`]). They are tried in the order of time, each
//! against what the other voices have there: do the notes after the group begin at their natural
//! places, together with others, and in consonance with them; and, after the last group, do the
//! voices come to their ends together. The usual reading stays unless another is clearly better.

use notation::Span;
use rudiments::Time;

use super::super::exact::Exact;
use super::super::section::{InSection, ReckonedVoice};
use super::fit::{best, fits};
use super::groups::{Line, Way, lines};

/// Reads every group so that it goes with the other voices. Returns the first one that is read
/// otherwise than usual, and how.
pub(in super::super) fn choose(
    voices: &mut [ReckonedVoice],
    exact: &mut Exact,
) -> Option<(Span, &'static str)> {
    let count = voices.iter().map(|voice| voice.sections.len()).max().unwrap_or(0);
    let mut first = None;
    let room = |voice: &ReckonedVoice| {
        let lengths = voice.sections.iter().map(|section| section.end.passed());
        exact.longest - lengths.sum::<Time>()
    };
    let mut rooms: Vec<Time> = voices.iter().map(room).collect();
    for number in 0..count {
        let mut lines = lines(voices, number, &mut rooms);
        if lines.len() < 2 {
            continue;
        }
        // The line whose next group comes first.
        while let Some((_, place)) = lines
            .iter()
            .enumerate()
            .filter_map(|(place, line)| Some((line.onset(line.group()?.start), place)))
            .min()
        {
            let way = best(&lines, place);
            let changed = lines[place].read(way, exact);
            first = first.or(changed);
        }
        lines.into_iter().for_each(Line::finish);
        first = first.or(meet_at_the_end(voices, number, &mut rooms, exact));
    }
    first
}

/// Where a voice still does not come to its last note with the others, and another reading of one of
/// its groups lets it do so, that of the best one is taken.
fn meet_at_the_end(
    voices: &mut [ReckonedVoice],
    number: usize,
    rooms: &mut [Time],
    exact: &mut Exact,
) -> Option<(Span, &'static str)> {
    let mut first = None;
    let count = voices.iter().filter(|voice| voice.sections.len() > number).count();
    for place in 0..count {
        let mut lines = lines(voices, number, rooms);
        let lasts: Vec<InSection> = lines.iter().filter_map(Line::last_onset).collect();
        let (Some(meeting), Some(last)) = (most_common(&lasts, place), lines[place].last_onset())
        else {
            continue;
        };
        let mut chosen: Option<(i32, usize, Way)> = None;
        for group in 0..lines[place].groups.len() {
            if last == meeting {
                break;
            }
            lines[place].next = group;
            let events = &lines[place].section.events[lines[place].groups[group].clone()];
            let Some((now, length)) =
                Way::of(&events[0]).zip(Way::of(&events[0]).and_then(|way| way.total(events)))
            else {
                continue;
            };
            for way in Way::all(events).into_iter().filter(|way| *way != now) {
                if way.total(events).is_some_and(|other| last + other == meeting + length) {
                    let gain = fits(&lines, place, way).saturating_sub(fits(&lines, place, now));
                    if gain >= 0 && chosen.is_none_or(|(most, ..)| gain > most) {
                        chosen = Some((gain, group, way));
                    }
                }
            }
        }
        if let Some((_, group, way)) = chosen {
            lines[place].next = group;
            let changed = lines[place].read(way, exact);
            first = first.or(changed);
            lines.swap_remove(place).finish();
        }
    }
    first
}

/// When most voices other than one begin their last notes, if several do so or there is one other.
fn most_common(lasts: &[InSection], but: usize) -> Option<InSection> {
    let others = || lasts.iter().enumerate().filter(|(place, _)| *place != but).map(|(_, at)| *at);
    let count = |at: InSection| others().filter(|other| *other == at).count();
    others().max_by_key(|at| (count(*at), *at)).filter(|at| count(*at) * 2 > others().count())
}
