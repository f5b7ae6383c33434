//! A voice as it is to be: its items with a change made, before anything is typed.

use rudiments::{Clef, Tone};

use super::change::{Change, Manner};
use crate::parser::state::Course;
use crate::{Event, Group, Item, ItemKind, Sound, Standing, Voice};

/// From the lowest octave that can be typed to the highest.
const MOST_STEPS: u32 = 70;

/// An item of the voice as it is to be.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Planned {
    pub(super) kind: ItemKind,
    pub(super) standing: Standing,
    pub(super) from: From,
}

/// Where it comes from.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum From {
    /// It is an item that is there.
    Kept(usize),
    /// It is typed in place of an item.
    Changed(usize),
    /// It is typed beside others; its word is like that of an item, if it has one.
    New(Place, Option<usize>),
}

impl From {
    /// The item of the event that it was.
    pub(super) fn item(self) -> Option<usize> {
        match self {
            From::Kept(item) | From::Changed(item) => Some(item),
            From::New(_, like) => like,
        }
    }
}

/// Where something is typed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Place {
    /// Before the values that are typed before an item.
    BeforeValue(usize),
    /// Right before an item.
    Before(usize),
    /// Right after an item.
    After(usize),
}

/// Items that stay as they are.
pub(super) fn keep(
    items: &[Item],
    kept: impl Iterator<Item = usize>,
) -> impl Iterator<Item = Planned> {
    kept.map(|item| {
        let Item { standing, ref kind, .. } = items[item];
        Planned { kind: kind.clone(), standing, from: From::Kept(item) }
    })
}

impl Place {
    pub(super) fn item(self) -> usize {
        match self {
            Place::BeforeValue(item) | Place::Before(item) | Place::After(item) => item,
        }
    }
}

/// The items of a voice with a change made at an item; nothing where it cannot be made there in that
/// manner.
pub(super) fn plan(
    voice: &Voice,
    at: usize,
    change: &Change,
    manner: Manner,
) -> Option<Vec<Planned>> {
    let planner = Planner::new(&voice.items, at, change, manner)?;
    match change {
        Change::Insert(_) => planner.inserted(),
        Change::Clef { clef, .. } if manner == Manner::Retyped => {
            planner.under_clef(*clef, voice.clef?)
        }
        Change::Clef { .. } => None,
        _ if manner == Manner::Supplied => None,
        _ => Some(planner.changed()),
    }
}

struct Planner<'p> {
    items: &'p [Item],
    /// The items of the events that are changed.
    events: Vec<usize>,
    change: &'p Change,
    manner: Manner,
    planned: Vec<Planned>,
}

impl<'p> Planner<'p> {
    fn new(
        items: &'p [Item],
        at: usize,
        change: &'p Change,
        manner: Manner,
    ) -> Option<Planner<'p>> {
        let is_read =
            |item: &usize| items[*item].standing.is_read() && items[*item].event().is_some();
        let count = usize::try_from(change.events()).ok()?;
        let events: Vec<usize> = (at..items.len()).filter(is_read).take(count).collect();
        let whole = match change {
            Change::Pair { .. } | Change::Tones { .. } => events.len() == 2,
            Change::Steps { steps, .. } => steps.unsigned_abs() <= MOST_STEPS,
            _ => true,
        };
        if events.first() != Some(&at) || !whole {
            return None;
        }
        // Only what is printed has another side. What an editor has written on the way to the last
        // event is retyped, but no variant can be of it.
        let printed = |item: &usize| items[*item].standing == Standing::Printed;
        let can_stand = match manner {
            Manner::Retyped | Manner::Supplied => true,
            Manner::Emended => printed(&at),
            Manner::Variant => events.iter().all(printed),
        };
        if !can_stand {
            return None;
        }
        let planned = Vec::with_capacity(items.len() + 8);
        Some(Planner { items, events, change, manner, planned })
    }

    fn keep(&mut self, items: impl Iterator<Item = usize>) {
        self.planned.extend(keep(self.items, items));
    }

    fn push(&mut self, kind: ItemKind, standing: Standing, from: From) {
        self.planned.push(Planned { kind, standing, from });
    }

    /// The group in which the manner writes, and how what is new stands in it.
    fn group(&self) -> Option<(Group, Standing)> {
        match self.manner {
            Manner::Retyped => None,
            Manner::Emended => Some((Group::Emendation, Standing::Emended)),
            Manner::Supplied => Some((Group::Supplied, Standing::Supplied)),
            Manner::Variant => Some((Group::Variant, Standing::Alternative)),
        }
    }

    fn inserted(mut self) -> Option<Vec<Planned>> {
        let Change::Insert(new) = self.change else { return None };
        if new.is_empty() {
            return None;
        }
        let at = self.events[0];
        // What opens with the event stays with it.
        let before = at - self.opening(at);
        let from = From::New(Place::BeforeValue(before), None);
        let outer = self.items[at].standing;
        self.keep(0..before);
        let group = self.group();
        if let Some((group, _)) = group {
            self.push(ItemKind::Open(group), outer, from);
            if group != Group::Supplied {
                self.push(ItemKind::Divide, group_standing(group), from);
            }
        }
        for event in new {
            let standing = group.map_or(outer, |(_, standing)| standing);
            self.push(ItemKind::Event(event.event()), standing, from);
        }
        if let Some((group, _)) = group {
            self.push(ItemKind::Close(group), outer, from);
        }
        self.keep(before..self.items.len());
        Some(self.planned)
    }

    /// The events changed one by one; a pair whose notes follow each other in one group.
    fn changed(mut self) -> Vec<Planned> {
        let events = std::mem::take(&mut self.events);
        let of_two = matches!(self.change, Change::Pair { .. } | Change::Tones { .. });
        let joined = of_two && events[1] == events[0] + 1;
        let mut done = 0;
        for together in events.chunks(if joined { 2 } else { 1 }) {
            self.keep(done..together[0]);
            self.changed_together(together, together[0] == events[0]);
            done = together[together.len() - 1] + 1;
        }
        self.keep(done..self.items.len());
        self.planned
    }

    fn changed_together(&mut self, events: &[usize], with_first: bool) {
        let (first, last) = (events[0], events[events.len() - 1]);
        let outer = self.items[first].standing;
        let group = self.group().filter(|_| outer == Standing::Printed);
        let Some((group, standing)) = group else {
            for made in self.made(events, with_first) {
                let (event, item) = made;
                self.push(ItemKind::Event(event), outer, From::Changed(item));
            }
            return;
        };
        // What does not change needs no other side.
        let made = self.made(events, with_first);
        let same = |(event, item): &(Event, usize)| self.items[*item].event() == Some(event);
        if !made.is_empty() && made.iter().all(same) {
            self.keep(first..=last);
            return;
        }
        let (before, after) = (From::New(Place::Before(first), None), Place::After(last));
        self.push(ItemKind::Open(group), outer, before);
        let kept = self.planned.len();
        self.keep(first..=last);
        if group == Group::Emendation {
            for planned in &mut self.planned[kept..] {
                planned.standing = Standing::Replaced;
            }
        }
        self.push(ItemKind::Divide, group_standing(group), From::New(after, None));
        for (event, item) in made {
            self.push(ItemKind::Event(event), standing, From::New(after, Some(item)));
        }
        self.push(ItemKind::Close(group), outer, From::New(after, None));
    }

    /// A clef before the first event and the old one after the last; all between keeps its places on
    /// the staff.
    fn under_clef(mut self, clef: Clef, opening: Clef) -> Option<Vec<Planned>> {
        let (first, last) = (*self.events.first()?, *self.events.last()?);
        let mut course = Course::new(Some(opening));
        self.items[..first].iter().for_each(|item| course.pass(&item.kind));
        let old = course.now.clef?;
        let is_clef = |item: &&Item| matches!(item.kind, ItemKind::Clef(_));
        let within = &self.items[first..=last];
        let outer = self.items[first].standing;
        if within.iter().any(|item| is_clef(&item)) || !is_whole(within) {
            return None;
        }
        // Up to the next event a clef may stand already.
        let no_event = |item: &&Item| item.event().is_none();
        let before =
            self.items[..first].iter().rev().take_while(no_event).position(|item| is_clef(&item));
        let (start, from) = match before {
            Some(back) => (first - back - 1, From::Changed(first - back - 1)),
            None => (
                first - self.opening(first),
                From::New(Place::BeforeValue(first - self.opening(first)), None),
            ),
        };
        self.keep(0..start);
        self.push(ItemKind::Clef(clef), outer, from);
        self.keep(start + usize::from(before.is_some())..first);
        let moved = |tone: Tone| clef.tone_at(old.place_of(tone));
        for item in first..=last {
            let Item { ref kind, standing, .. } = self.items[item];
            let kind = match kind.clone() {
                ItemKind::Direct(tone) => ItemKind::Direct(moved(tone)),
                ItemKind::Event(mut event) => {
                    if let Sound::Notes(notes) = &mut event.sound {
                        for note in notes {
                            note.tone = moved(note.tone);
                        }
                    }
                    ItemKind::Event(event)
                }
                kind => {
                    self.push(kind, standing, From::Kept(item));
                    continue;
                }
            };
            self.push(kind, standing, From::Changed(item));
        }
        let rest = &self.items[last + 1..];
        let clef_follows = rest.iter().take_while(no_event).any(|item| is_clef(&item));
        if !clef_follows && rest.iter().any(|item| item.event().is_some()) {
            let standing = self.items[last].standing;
            self.push(ItemKind::Clef(old), standing, From::New(Place::After(last), None));
        }
        self.keep(last + 1..self.items.len());
        Some(self.planned)
    }

    /// How many ligatures and passages in coloration open right before an event.
    fn opening(&self, event: usize) -> usize {
        let opens =
            |item: &&Item| matches!(item.kind, ItemKind::Open(Group::Ligature | Group::Coloration));
        self.items[..event].iter().rev().take_while(opens).count()
    }

    /// The events as they will be, and their items; none where they are taken out.
    fn made(&self, events: &[usize], with_first: bool) -> Vec<(Event, usize)> {
        if *self.change == Change::Delete {
            return Vec::new();
        }
        let made = events.iter().enumerate().filter_map(|(place, item)| {
            let event = self.items[*item].event()?;
            Some((self.change.made(event, with_first && place == 0), *item))
        });
        made.collect()
    }
}

/// Whether groups with two sides stand in a stretch with both, or not at all: a clef holds for a side.
fn is_whole(items: &[Item]) -> bool {
    let mut open = 0_u32;
    for item in items {
        match item.kind {
            ItemKind::Open(Group::Emendation | Group::Variant) => open += 1,
            ItemKind::Divide if open == 0 => return false,
            ItemKind::Close(Group::Emendation | Group::Variant) => match open.checked_sub(1) {
                Some(outer) => open = outer,
                None => return false,
            },
            _ => {}
        }
    }
    open == 0
}

/// How the stroke between the sides of a group stands.
fn group_standing(group: Group) -> Standing {
    match group {
        Group::Variant => Standing::Alternative,
        _ => Standing::Emended,
    }
}
