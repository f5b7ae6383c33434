//! Groups of black notes: in coloration a stemmed black note is a minim, though it looks like a
//! semiminim.
//!
//! Coloured notes with nothing but semiminims and smaller notes between them belong together with
//! these. A group is counted in parts: a black minim, or what looks like a semiminim, is one, a
//! black semibreve two. Where the parts go in no threes, the notes that follow complete them, as
//! far as they too look like semiminims or smaller (common practice of Italian prints of the
//! 1580s).

use std::ops::Range;

use notation::{Dot, Event};
use rudiments::{Time, Value};

/// A group of black notes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct BlackGroup {
    /// Its events, as places among those that were asked about.
    pub events: Range<usize>,
    /// Whether there is something beside the coloured notes that looks like a semiminim or smaller.
    pub has_company: bool,
    /// Whether it goes in threes.
    pub fills: bool,
}

/// How many parts an event of a group has, a black minim being one; nothing for what cannot belong
/// to a group.
fn parts(event: &Event) -> Option<Time> {
    if event.is_rest() {
        return None;
    }
    let value = match event.value {
        value if event.colored => value,
        value if value >= Value::Semiminim => value.larger()?,
        _ => return None,
    };
    let adds = event.dot.is_some_and(|dot| dot != Dot::Divides);
    Some(if adds { value.plain() + value.plain().half() } else { value.plain() })
}

/// The groups of black notes among events that are counted together, in order.
pub fn black_groups(events: &[&Event]) -> Vec<BlackGroup> {
    let fills = |sum: Time| sum.within(Time::minims(3)).is_zero();
    let mut groups = Vec::new();
    let mut start = 0;
    while start < events.len() {
        let run: Vec<Time> = if events[start].colored {
            events[start..].iter().map_while(|event| parts(event)).collect()
        } else {
            Vec::new()
        };
        let Some(last) = (0..run.len()).rev().find(|place| events[start + place].colored) else {
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
        let has_company = events[group.clone()].iter().any(|event| !event.colored);
        groups.push(BlackGroup { events: group, has_company, fills: fills(sum) });
        start += length;
    }
    groups
}
