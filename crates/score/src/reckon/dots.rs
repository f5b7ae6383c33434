//! Dots of addition, of perfection and of division told apart.
//!
//! The rules are those of Tinctoris, *Scriptum super punctis musicalibus*, about 1475, and
//! Gaffurius, *Practica musicae*, 1496, book 2 (from memory): after a perfect note a dot perfects;
//! after a note that holds two it adds, if the smaller notes that follow complete what it adds;
//! else it divides.

use notation::Dot;
use rudiments::{Mensuration, Time, Value};

use super::written::{Sense, Written};

/// Finds out what every dot of a stretch does.
pub(super) fn tell_apart(events: &mut [Written], mensuration: Mensuration) {
    if mensuration.is_imperfect() {
        for event in events {
            event.sense = match event.dot {
                None => Sense::None,
                Some(Dot::Divides) => Sense::Divides,
                Some(Dot::Plain | Dot::Adds) => Sense::Adds,
            };
        }
        return;
    }
    // Where the event stands, counted from the last note or rest of a perfect value.
    let mut position = Time::ZERO;
    for place in 0..events.len() {
        let sense = sense(events, place, position, mensuration);
        events[place].sense = sense;
        let event = &events[place];
        if mensuration.is_perfect(event.value) {
            position = Time::ZERO;
        } else {
            let length = mensuration.full(event.value);
            position += if sense == Sense::Adds { length + length.half() } else { length };
        }
    }
}

fn sense(events: &[Written], place: usize, position: Time, mensuration: Mensuration) -> Sense {
    let event = &events[place];
    let value = event.value;
    match event.dot {
        None => return Sense::None,
        Some(Dot::Adds) => return Sense::Adds,
        Some(Dot::Divides) => return Sense::Divides,
        Some(Dot::Plain) => {}
    }
    let next = events.get(place + 1);
    let larger_perfect = |value: Value| value.larger().is_some_and(|p| mensuration.is_perfect(p));
    if event.colored || next.is_some_and(|next| next.completing) {
        Sense::Adds
    } else if mensuration.is_perfect(value) {
        Sense::Perfects
    } else if larger_perfect(value) {
        // Two dotted parts side by side make a perfection of their own.
        let dotted = |other: &Written| other.value == value && other.dot.is_some();
        let before = place.checked_sub(1).and_then(|before| events.get(before));
        let paired = before.into_iter().chain(next).any(dotted);
        let adds = paired || completed(&events[place + 1..], value, mensuration);
        if adds { Sense::Adds } else { Sense::Divides }
    } else if value <= Value::Minim && value.larger().is_some_and(larger_perfect) {
        // A dot after half of the part of a perfection: it may divide where a part is full.
        let part = value.larger().map_or(Time::ZERO, |part| mensuration.full(part));
        let full = (position + mensuration.full(value)).within(part).is_zero();
        let alone = next.is_none_or(|next| next.value <= value);
        if full && alone { Sense::Divides } else { Sense::Adds }
    } else {
        Sense::Adds
    }
}

/// Whether the smaller values up to the next that is not smaller are more or fewer by a half than
/// whole ones, so that a dot before them adds that half.
fn completed(following: &[Written], value: Value, mensuration: Mensuration) -> bool {
    let whole = mensuration.full(value);
    let smaller = following.iter().take_while(|event| event.value > value);
    let sum: Time = smaller
        .map(|event| {
            let length = mensuration.full(event.value);
            if event.dot.is_some_and(|dot| dot != Dot::Divides) {
                length + length.half()
            } else {
                length
            }
        })
        .sum();
    !sum.within(whole).is_zero()
}
