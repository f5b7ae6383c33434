//! Black minims: in coloration a stemmed black note is a minim, though it looks like a semiminim,
//! and is often encoded as the plain semiminim that it looks like.
//!
//! Coloured notes with nothing but semiminims and smaller notes between them belong together with
//! these. A group is counted in parts: a black minim, or what looks like a semiminim, is one, a
//! black semibreve two. Where the parts go in no threes, the notes that follow complete them, as
//! far as they too look like semiminims or smaller (common practice of Italian prints of the
//! 1580s). Where they do not come out, and where values are perfect, so that a black note needs no
//! company, the notes are left as they are encoded, with a remark.

use std::ops::Range;

use rudiments::{Time, Value};

use super::mensuration::{in_force, stretches};
use super::voice::{Event, Item, Voice};
use crate::reading::Remarks;

const LEFT: &str = "coloured notes and the semiminims beside them do not go in threes, so the \
                    semiminims are left as encoded; those that are black minims are to be typed as \
                    `mn` within `{ }`";
const PERFECT: &str = "the semiminims beside coloured notes are left as encoded, as the sign makes \
                       values perfect; those that are black minims are to be typed as `mn` within \
                       `{ }`";

/// Reads what looks like semiminims beside coloured notes as black minims.
pub(super) fn read(voice: &mut Voice, remarks: &mut Remarks) {
    let is_black = |item: &Item| matches!(item, Item::Event(event) if event.printed.colored);
    if !voice.items.iter().any(is_black) {
        return;
    }
    let time = in_force(voice);
    let mut read = Vec::new();
    for stretch in stretches(&voice.items) {
        let events: Vec<(usize, &Event)> = stretch
            .iter()
            .filter_map(|place| match &voice.items[*place] {
                Item::Event(event) => Some((*place, event)),
                Item::Other(_) => None,
            })
            .collect();
        for Found { group, company, fills } in groups(&events) {
            let group = &events[group];
            // What the file says of lengths needs no inference.
            if !company || group.iter().any(|(_, event)| event.said.is_something()) {
                continue;
            }
            let (first, event) = group[0];
            if !time[first].mensuration.is_imperfect() {
                remarks.add(event.at, PERFECT);
            } else if fills {
                read.extend(
                    group.iter().filter(|(_, event)| !event.printed.colored).map(|(at, _)| *at),
                );
            } else {
                remarks.add(event.at, LEFT);
            }
        }
    }
    let (mut number, mut smaller, mut first) = (0_usize, false, None);
    for place in read {
        if let Item::Event(event) = &mut voice.items[place] {
            number += 1;
            first = first.or(Some(event.at));
            smaller |= event.printed.value > Value::Semiminim;
            event.printed.colored = true;
            event.printed.value = event.printed.value.larger().unwrap_or(event.printed.value);
        }
    }
    if let Some(first) = first {
        remarks.add(first, said(number, smaller));
    }
}

fn said(number: usize, smaller: bool) -> String {
    match (number, smaller) {
        (1, false) => "1 semiminim beside black notes is read as a black minim".to_owned(),
        (_, false) => format!("{number} semiminims beside black notes are read as black minims"),
        (_, true) => format!(
            "{number} semiminims and smaller notes beside black notes are read as black minims and \
             semiminims"
        ),
    }
}

/// A group of black notes.
struct Found {
    group: Range<usize>,
    /// Whether there is something beside the coloured notes that looks like a semiminim.
    company: bool,
    /// Whether it goes in threes.
    fills: bool,
}

/// How many parts an event of a group has, a black minim being one; nothing for what cannot belong
/// to a group.
fn parts(event: &Event) -> Option<Time> {
    if event.printed.is_rest() {
        return None;
    }
    let value = match event.printed.value {
        value if event.printed.colored => value,
        value if value >= Value::Semiminim => value.larger()?,
        _ => return None,
    };
    let adds = event.printed.dot.is_some_and(|dot| dot != notation::Dot::Divides);
    Some(if adds { value.plain() + value.plain().half() } else { value.plain() })
}

/// The groups among the events of a stretch.
fn groups(events: &[(usize, &Event)]) -> Vec<Found> {
    let fills = |sum: Time| sum.within(Time::minims(3)).is_zero();
    let mut groups = Vec::new();
    let mut start = 0;
    while start < events.len() {
        let run: Vec<Time> = if events[start].1.printed.colored {
            events[start..].iter().map_while(|(_, event)| parts(event)).collect()
        } else {
            Vec::new()
        };
        let Some(last) = (0..run.len()).rev().find(|place| events[start + place].1.printed.colored)
        else {
            start += 1;
            continue;
        };
        let mut sum: Time = run[..=last].iter().copied().sum();
        let mut length = last + 1;
        while !fills(sum) && length < run.len() {
            sum += run[length];
            length += 1;
        }
        let group = start..start + length;
        let company = events[group.clone()].iter().any(|(_, event)| !event.printed.colored);
        groups.push(Found { group, company, fills: fills(sum) });
        start += length;
    }
    groups
}
