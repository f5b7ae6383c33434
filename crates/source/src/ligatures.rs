//! Notes of ligatures that stand beside one another: which of them are one.

use rudiments::{LigatureNote, Value, ligature};

use crate::things::{Played, Thing};
use notation::{Group, ItemKind};

/// The things of a line with brackets round its ligatures; what was read as a ligature and can be none
/// is notes by themselves.
pub(crate) fn bound(things: Vec<Thing>) -> Vec<Thing> {
    let mut set = Vec::with_capacity(things.len());
    let mut run: Vec<(Played, bool)> = Vec::new();
    for thing in things {
        match thing {
            Thing::Event(played) if played.bound => run.push((played, false)),
            Thing::Other(ItemKind::Oblique) if !run.is_empty() => {
                run.last_mut().expect("it is not empty").1 = true;
            }
            // Without a ligature around it, it is nothing.
            Thing::Other(ItemKind::Oblique) => {}
            other => {
                divide(&mut run, &mut set);
                set.push(other);
            }
        }
    }
    divide(&mut run, &mut set);
    set
}

/// A run of notes of ligatures as ligatures, each as long as it can be.
fn divide(run: &mut Vec<(Played, bool)>, set: &mut Vec<Thing>) {
    let notes: Vec<LigatureNote> = run.iter().map(note).collect();
    let mut rest = std::mem::take(run).into_iter();
    let mut from = 0;
    while from < notes.len() {
        let is_one = |to: &usize| ligature(&whole(&notes[from..*to])).is_ok();
        let to = (from + 2..=notes.len()).rev().find(is_one);
        let count = to.map_or(1, |to| to - from);
        if to.is_some() {
            set.push(Thing::Other(ItemKind::Open(Group::Ligature)));
        }
        for (number, (mut played, oblique)) in rest.by_ref().take(count).enumerate() {
            played.odd |= to.is_none();
            played.bound = to.is_some();
            set.push(Thing::Event(played));
            if oblique && number + 1 < count {
                set.push(Thing::Other(ItemKind::Oblique));
            }
        }
        if to.is_some() {
            set.push(Thing::Other(ItemKind::Close(Group::Ligature)));
        }
        from += count;
    }
}

fn note((played, oblique): &(Played, bool)) -> LigatureNote {
    let value = if played.event.is_rest() { Value::Minim } else { played.event.value };
    let place = played.stands.map_or(0, |(place, _)| place);
    LigatureNote { value, place, oblique: *oblique }
}

/// The last of a ligature has no oblique body after it.
fn whole(notes: &[LigatureNote]) -> Vec<LigatureNote> {
    let mut notes = notes.to_vec();
    if let Some(last) = notes.last_mut() {
        last.oblique = false;
    }
    notes
}
