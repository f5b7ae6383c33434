//! Black notes: semiminims beside them that are black minims, and the braces round them.

use exchange::black_groups;
use notation::{Event, Group, ItemKind};
use rudiments::Sign;

use crate::things::Thing;

/// Reads what looks like semiminims beside black notes as black minims, where these go in threes and the
/// sign makes no value perfect.
pub(crate) fn minims(things: &mut [Thing], sign: Option<Sign>) {
    let mut stretch: Vec<usize> = Vec::new();
    let mut sign = sign;
    for place in 0..=things.len() {
        match things.get(place) {
            Some(Thing::Event(_)) => stretch.push(place),
            Some(Thing::Other(
                kind @ (ItemKind::Sign(_) | ItemKind::SectionEnd | ItemKind::Repeat),
            )) => {
                let next = if let ItemKind::Sign(next) = kind { Some(*next) } else { sign };
                of_stretch(things, &std::mem::take(&mut stretch), sign);
                sign = next;
            }
            Some(Thing::Other(_)) => {}
            None => of_stretch(things, &std::mem::take(&mut stretch), sign),
        }
    }
}

fn of_stretch(things: &mut [Thing], places: &[usize], sign: Option<Sign>) {
    if sign.is_some_and(Sign::may_have_perfect_values) {
        return;
    }
    let events: Vec<Event> = places.iter().filter_map(|place| event(&things[*place])).collect();
    let groups = black_groups(&events.iter().collect::<Vec<_>>());
    for group in groups.into_iter().filter(|group| group.has_company && group.fills) {
        for place in &places[group.events] {
            if let Thing::Event(played) = &mut things[*place]
                && !played.event.colored
            {
                played.event.colored = true;
                played.event.value = played.event.value.larger().unwrap_or(played.event.value);
            }
        }
    }
}

fn event(thing: &Thing) -> Option<Event> {
    match thing {
        Thing::Event(played) => Some(played.event.clone()),
        Thing::Other(_) => None,
    }
}

/// The things with braces round the runs of black notes. They run across line ends and ligatures.
pub(crate) fn braced(things: Vec<Thing>) -> Vec<Thing> {
    let (mut begins, mut ends) = (Vec::new(), Vec::new());
    let mut last = None;
    for (place, thing) in things.iter().enumerate() {
        match thing {
            Thing::Event(played) if played.event.colored => {
                if last.is_none() {
                    begins.push(place);
                }
                last = Some(place);
            }
            Thing::Event(_) => ends.extend(last.take()),
            Thing::Other(_) => {}
        }
    }
    ends.extend(last);
    let mut set = Vec::with_capacity(things.len() + 2 * begins.len());
    for (place, thing) in things.into_iter().enumerate() {
        if begins.binary_search(&place).is_ok() {
            set.push(Thing::Other(ItemKind::Open(Group::Coloration)));
        }
        set.push(thing);
        if ends.binary_search(&place).is_ok() {
            set.push(Thing::Other(ItemKind::Close(Group::Coloration)));
        }
    }
    set
}
