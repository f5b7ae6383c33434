//! The voices that meet the cantizans on the goal.

use super::role::{FIFTH, Role, SECOND, above};
use crate::study::moments::NoteRef;
use crate::texture::{Height, Note, Texture};

/// A voice that comes to the goal by its role.
#[derive(Clone, Copy, Debug)]
pub(super) struct Arrival {
    pub(super) line: usize,
    pub(super) role: Role,
    /// When it strikes the goal.
    pub(super) at: i64,
    /// Its note before.
    pub(super) leading: NoteRef,
    /// The goal.
    pub(super) goal: NoteRef,
}

/// When the voices other than the cantizans come to a goal, after one moment and until another, in
/// order of time; the tenorizans before the bassizans.
pub(super) fn arrivals(
    texture: &Texture,
    cantizans: usize,
    goal: Height,
    after: i64,
    until: i64,
) -> Vec<Arrival> {
    let mut found = Vec::new();
    for (line, of_line) in texture.lines.iter().enumerate() {
        if line == cantizans {
            continue;
        }
        let notes = &of_line.notes;
        let first = notes.partition_point(|note| note.onset <= after).max(1);
        for place in first..notes.len() {
            if notes[place].onset > until {
                break;
            }
            if let Some(role) = role(goal, &notes[place - 1], &notes[place]) {
                let again = struck_again(texture, notes, place);
                let (at, leading) = (notes[again].onset, NoteRef::new(line, place - 1));
                found.push(Arrival { line, role, at, leading, goal: NoteRef::new(line, again) });
            }
        }
    }
    found.sort_by_key(|arrival| (arrival.at, arrival.role));
    found
}

/// The role by which a voice comes from one note to the next, if that is the goal.
pub(super) fn role(goal: Height, from: &Note, to: &Note) -> Option<Role> {
    let (from, to) = (from.pitch?, to.pitch?);
    if above(goal, to) != 0 {
        return None;
    }
    match (above(goal, from), to.rung - from.rung) {
        (SECOND, -1) => Some(Role::Tenorizans),
        (FIFTH, 3 | -4) => Some(Role::Bassizans),
        _ => None,
    }
}

/// The place of the goal: if it is anticipated in a short note, where it is struck again.
fn struck_again(texture: &Texture, notes: &[Note], place: usize) -> usize {
    let note = &notes[place];
    let length = note.end - note.onset;
    let next = notes.get(place + 1).filter(|next| next.pitch == note.pitch);
    let again = next.is_some_and(|next| length < texture.minim && length < next.end - next.onset);
    place + usize::from(again)
}
