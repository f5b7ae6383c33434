//! Black minims: in coloration a stemmed black note is a minim, though it looks like a semiminim,
//! and is often encoded as the plain semiminim that it looks like.
//!
//! Which notes are a group, [`crate::black`] says. Where its parts do not come out, and where values are
//! perfect, so that a black note needs no company, the notes are left as they are encoded, with a remark.

use rudiments::Value;

use super::mensuration::{in_force, stretches};
use super::voice::{Event, Item, Voice};
use crate::black::{BlackGroup, black_groups};
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
        let printed: Vec<&notation::Event> =
            events.iter().map(|(_, event)| &event.printed).collect();
        for BlackGroup { events: group, has_company, fills } in black_groups(&printed) {
            let group = &events[group];
            // What the file says of lengths needs no inference.
            if !has_company || group.iter().any(|(_, event)| event.said.is_something()) {
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
