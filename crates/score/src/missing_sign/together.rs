//! A sign that is missing in all voices, where they meet without it.
//!
//! All voices begin and end such a passage together and move in semibreves and minims, nearly in
//! the same rhythm, without rests. It goes in threes: hardly a note runs across the end of a
//! perfection. And it goes against the beat in twos: on the average, every voice has a semibreve
//! off it. In duple time voices do not leave the beat all together like that (common practice).

use std::collections::BTreeSet;

use rudiments::{Time, Value};

use super::{
    FEWEST_PERFECTIONS, Line, Passage, THREE, common, crossing, is_plain, is_white, tolerated,
};
use crate::reckon::{InSection, SectionEvent};

/// Of so many events, one may be a semiminim.
const SEMIMINIMS: usize = 8;

pub(super) fn find(lines: &[Line<'_>]) -> Vec<Passage> {
    let times: Vec<Vec<InSection>> =
        lines.iter().map(|line| line.events().iter().map(|event| event.onset).collect()).collect();
    let common = common(&times);
    let mut passages = Vec::new();
    let mut from = 0;
    // A stretch of common onsets between which nothing but white notes stands.
    while from < common.len() {
        let mut to = from;
        while to + 1 < common.len() && all_white(lines, &common[to].1, &common[to + 1].1) {
            to += 1;
        }
        let found = in_threes(&common[from..=to])
            .into_iter()
            .find(|(start, end)| is_triple(lines, start, end));
        if let Some((start, end)) = found {
            passages.extend((0..lines.len()).map(|line| {
                let (first, end) = (start.1[line], end.1[line]);
                let last = lines[line].events().len() - 1;
                let back = (end < last).then(|| lines[line].sign_at(first)).flatten();
                Passage { line, first, end, sign: THREE, back }
            }));
        }
        from = to + 1;
    }
    passages
}

type Common = (InSection, Vec<usize>);

/// Whether all voices have nothing but white notes, counted plainly, from some places to others.
fn all_white(lines: &[Line<'_>], first: &[usize], end: &[usize]) -> bool {
    lines.iter().zip(first).zip(end).all(|((line, first), end)| {
        line.events()[*first..*end]
            .iter()
            .all(|event| is_plain(event) && is_white(event) && !event.is_rest())
    })
}

/// For each of three phases, the longest passage of whole threes.
fn in_threes(common: &[Common]) -> Vec<(&Common, &Common)> {
    let (Some(begin), true) = (common.first(), common.len() > 1) else { return Vec::new() };
    let phase = |time: InSection| (time - begin.0).within(Time::minims(3));
    (0..3)
        .filter_map(|minims| {
            let fits = |(time, _): &&Common| phase(*time) == Time::minims(minims);
            Some((common.iter().find(fits)?, common.iter().rev().find(fits)?))
        })
        .filter(|(start, end)| end.0 - start.0 >= Time::minims(3) * FEWEST_PERFECTIONS)
        .collect()
}

fn is_triple(lines: &[Line<'_>], start: &Common, end: &Common) -> bool {
    let voices = lines.len();
    let events = |line: usize| &lines[line].events()[start.1[line]..end.1[line]];
    let all = || (0..voices).flat_map(events);
    let count = all().count();
    let onsets: BTreeSet<InSection> = all().map(|event| event.onset).collect();
    let off_beat = all().filter(|event| is_off_beat(event)).count();
    let semiminims = all().filter(|event| event.value == Value::Semiminim).count();
    let spans = all().map(|event| (event.onset, event.end()));
    // Three quarters of what it would be if all moved in the same rhythm.
    let one_rhythm = count * 4 >= onsets.len() * voices * 3;
    crossing(spans, start.0) <= tolerated(voices)
        && off_beat >= voices
        && semiminims * SEMIMINIMS <= count
        && one_rhythm
}

/// Whether this is a semibreve that begins off the beat of semibreves.
fn is_off_beat(event: &SectionEvent) -> bool {
    event.value == Value::Semibreve
        && !event.onset.passed().within(Value::Semibreve.plain()).is_zero()
}
