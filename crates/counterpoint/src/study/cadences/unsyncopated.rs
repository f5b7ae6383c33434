//! Cadences without a suspension, which count only at an end.

use std::collections::BTreeMap;

use score::Score;

use super::Cadence;
use super::cantizans::CadenceOrnament;
use super::kind::CadenceKind;
use super::outcome;
use super::partners::role;
use super::role::{Role, Roles};
use super::syncopated::level;
use crate::study::moments::{Moments, NoteRef, minims};
use crate::texture::{Line, Texture};

/// A voice that comes to an end.
#[derive(Clone, Copy)]
struct Ending {
    /// Its last note.
    last: NoteRef,
    /// The note before.
    before: NoteRef,
}

/// Adds what comes to an end without a suspension, where nothing else does.
pub(super) fn add_cadences(
    found: &mut Vec<Cadence>,
    texture: &Texture,
    score: &Score,
    moments: &Moments,
) {
    let mut endings: BTreeMap<i64, Vec<Ending>> = BTreeMap::new();
    for (line, of_line) in texture.lines.iter().enumerate() {
        for (place, note) in of_line.notes.iter().enumerate().skip(1) {
            if note.pitch.is_some() && ends(score, of_line, place) {
                let (last, before) = (NoteRef::new(line, place), NoteRef::new(line, place - 1));
                endings.entry(note.onset).or_default().push(Ending { last, before });
            }
        }
    }
    let times: Vec<_> = found.iter().map(|cadence| cadence.at).collect();
    let new = endings.iter().filter_map(|(at, endings)| {
        let is_known = times.binary_search(&minims(texture, *at)).is_ok();
        if is_known { None } else { cadence(texture, moments, *at, endings) }
    });
    let new: Vec<Cadence> = new.collect();
    found.extend(new);
    found.sort_by_key(|cadence| cadence.at);
}

/// Whether a note is the last of its section, has a corona, or is followed by a rest.
fn ends(score: &Score, line: &Line, place: usize) -> bool {
    let note = &line.notes[place];
    let event = score.voices.get(line.voice).and_then(|v| v.events.get(note.event as usize));
    let has_corona = event.is_some_and(|event| event.signs.has(notation::NoteSign::Corona));
    let next = line.notes.get(place + 1);
    note.facts.last || has_corona || next.is_none_or(|next| next.pitch.is_none())
}

/// The leading note of a voice that goes up a step to its last note, or from the third below, after
/// the leading note.
fn leading(texture: &Texture, ending: &Ending) -> Option<NoteRef> {
    let height = |note: NoteRef| note.of(texture).pitch;
    let last = height(ending.last)?.rung;
    match last - height(ending.before)?.rung {
        1 => Some(ending.before),
        2 => {
            let leading = ending.before.before()?;
            (last - height(leading)?.rung == 1).then_some(leading)
        }
        _ => None,
    }
}

fn cadence(texture: &Texture, moments: &Moments, at: i64, endings: &[Ending]) -> Option<Cadence> {
    let fulfilled = |cantizans: &Ending| {
        let first = leading(texture, cantizans)?;
        let leading = first.of(texture);
        let goal = cantizans.last.of(texture).pitch?;
        let others = endings.iter().filter_map(|other| {
            let role = role(goal, other.before.of(texture), other.last.of(texture))?;
            Some((role, other.before))
        });
        let mut others: Vec<(Role, NoteRef)> = others.collect();
        others.sort_by_key(|(role, _)| *role);
        let of =
            |role: Role| others.iter().find(|(other, _)| *other == role).map(|(_, note)| *note);
        let (tenorizans, bassizans) = (of(Role::Tenorizans), of(Role::Bassizans));
        tenorizans.or(bassizans)?;
        let leads = leading.pitch?;
        let falls = tenorizans.and_then(|note| note.of(texture).pitch);
        let phrygian = goal.semitones - leads.semitones == 2
            && falls.is_some_and(|from| (from.semitones - goal.semitones).rem_euclid(12) == 1);
        let evaded_by = outcome::together(moments, at, goal, phrygian)?;
        if evaded_by.is_some() {
            return None;
        }
        let id = |note: NoteRef| note.id(texture);
        Some(Cadence {
            preparation: None,
            dissonance: None,
            resolution: minims(texture, leading.onset),
            at: minims(texture, at),
            goal: goal.pitch(),
            degree: None,
            roles: Roles {
                cantizans: Some(id(first)),
                tenorizans: tenorizans.map(id),
                bassizans: bassizans.map(id),
                altizans: None,
            },
            kind: CadenceKind::None,
            pair: None,
            suspension: None,
            level: level(at - leading.onset, leading.measure.minim),
            phrygian,
            evaded_by: None,
            ornaments: if first == cantizans.before {
                Vec::new()
            } else {
                vec![CadenceOrnament::UnderThird]
            },
            leading: if first == cantizans.before {
                vec![id(first)]
            } else {
                vec![id(first), id(cantizans.before)]
            },
            plagal: None,
        })
    };
    endings.iter().find_map(fulfilled)
}
