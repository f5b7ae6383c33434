//! A sign that is missing in all voices, where they do not meet without it.
//!
//! In threes semibreves and their rests are perfect, so voices that have different numbers of
//! these come apart if the sign is missing. The passage is the shortest between two places that
//! all voices share, counted from the beginning and from the end, in which all have as many
//! perfections.

use rudiments::{Mensuration, Time, Value};

use super::{Line, Passage, SESQUIALTERA, common, crossing, is_plain, tolerated};
use crate::reckon::{InSection, SectionEvent, count_under};
use crate::rule::Rule;

/// The fewest perfections of such a passage.
const FEWEST: i64 = 3;

/// The fewest voices that are put right: a single one has more likely a slip.
const FEWEST_CORRECTED: usize = 2;

/// The longest such passage that is looked for, in minims as printed.
const LONGEST: Time = Time::minims(96);

/// So many events are counted anew at most, so that a large piece takes no longer than a moment.
const MOST_COUNTED: usize = 2_000_000;

pub(super) fn find(lines: &[Line<'_>]) -> Vec<Passage> {
    let from_start: Vec<Vec<InSection>> =
        lines.iter().map(|line| line.events().iter().map(|event| event.onset).collect()).collect();
    let from_end: Vec<Vec<Time>> = lines
        .iter()
        .map(|line| {
            let last = line.last_onset().unwrap_or_default();
            line.events().iter().map(|event| event.onset - last).collect()
        })
        .collect();
    let (starts, ends) = (common(&from_start), common(&from_end));
    let mut found: Vec<(Time, &[usize], &[usize])> = Vec::new();
    let mut first_end = 0;
    let mut counted = 0;
    for (start, firsts) in &starts {
        // Ends rise with starts, so those that are passed need not be looked at again.
        let onset = |line: usize, place: usize| lines[line].events()[place].onset;
        while ends.get(first_end).is_some_and(|(_, places)| onset(0, places[0]) <= *start) {
            first_end += 1;
        }
        for (_, places) in &ends[first_end..] {
            let lengths: Vec<Time> = places
                .iter()
                .enumerate()
                .map(|(line, place)| onset(line, *place) - *start)
                .collect();
            if lengths.iter().any(|length| *length > LONGEST) {
                break;
            }
            let positive = lengths.iter().all(|length| length.is_positive());
            counted += firsts
                .iter()
                .zip(places)
                .map(|(first, end)| end.saturating_sub(*first))
                .sum::<usize>();
            if counted > MOST_COUNTED {
                return Vec::new();
            }
            if positive && is_triple(lines, firsts, places, &lengths) {
                let longest = lengths.iter().max().copied().unwrap_or_default();
                found.push((longest, firsts, places));
                break;
            }
        }
    }
    let Some((_, firsts, ends)) = only_shortest(&found) else { return Vec::new() };
    (0..lines.len())
        .map(|line| {
            let (first, end) = (firsts[line], ends[line]);
            let last = lines[line].events().len() - 1;
            let back = (end < last).then(|| lines[line].sign_at(first)).flatten();
            Passage { line, first, end, sign: SESQUIALTERA, back }
        })
        .collect()
}

/// The shortest passage, if all others that were found hold it.
fn only_shortest<'f>(
    found: &[(Time, &'f [usize], &'f [usize])],
) -> Option<(Time, &'f [usize], &'f [usize])> {
    let shortest = *found.iter().min_by_key(|(length, ..)| *length)?;
    let holds = |(_, firsts, ends): &(Time, &[usize], &[usize])| {
        firsts[0] <= shortest.1[0] && ends[0] >= shortest.2[0]
    };
    found.iter().all(holds).then_some(shortest)
}

/// Whether all voices have the same number of perfections in a passage that they do not have the
/// same length in, and hardly a note runs across the end of one.
fn is_triple(lines: &[Line<'_>], firsts: &[usize], ends: &[usize], lengths: &[Time]) -> bool {
    let same = |length: &&Time| **length == lengths[0];
    if lengths.iter().all(|length| same(&length)) || corrected(lengths) < FEWEST_CORRECTED {
        return false;
    }
    let mut total = None;
    let mut across = 0;
    for (line, (first, end)) in lines.iter().zip(firsts.iter().zip(ends)) {
        let events = &line.events()[*first..*end];
        if !events.iter().all(fits) {
            return false;
        }
        let threes = Mensuration::IMPERFECT.with(Value::Semibreve, true);
        let counted = count_under(threes, line.printed, events);
        if cut_short(line.events(), *end, &counted) {
            return false;
        }
        let sum: Time = counted.iter().copied().sum();
        if total.replace(sum).is_some_and(|total| total != sum) {
            return false;
        }
        let mut onset = Time::ZERO;
        let spans = counted.iter().map(|length| {
            onset += *length;
            (onset - *length, onset)
        });
        across += crossing(spans, Time::ZERO);
    }
    let three = Time::minims(3);
    across <= tolerated(lines.len())
        && total.is_some_and(|total| total >= three * FEWEST && total.within(three).is_zero())
}

/// Whether the last note is perfect only as the passage ends there: what follows would have made it
/// imperfect.
fn cut_short(events: &[SectionEvent], end: usize, counted: &[Time]) -> bool {
    let smaller = events.get(end).is_some_and(|next| next.value > Value::Semibreve);
    let last = &events[end - 1];
    let perfect = counted.last() == Some(&Time::minims(3));
    smaller
        && last.value == Value::Semibreve
        && last.rule == Rule::Plain
        && !last.is_rest()
        && perfect
}

/// How many voices would be put right, if those are right that most agree with.
fn corrected(lengths: &[Time]) -> usize {
    let agree = |length: &Time| lengths.iter().filter(|other| *other == length).count();
    lengths.len() - lengths.iter().map(agree).max().unwrap_or(0)
}

fn fits(event: &SectionEvent) -> bool {
    is_plain(event) && event.value >= Value::Semibreve && event.value <= Value::Semiminim
}
