//! Cadences without a suspension, which count only at an end.

use std::collections::BTreeMap;

use score::Score;

use super::kind::CadenceKind;
use super::outcome;
use super::partners::role;
use super::role::{Role, Roles};
use super::syncopated::level;
use super::Cadence;
use crate::study::moments::{Moments, NoteRef, minims};
use crate::texture::{Height, Line, Note, Texture};

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

/// What a voice does that goes up a step to a goal.
fn goal(from: &Note, to: &Note) -> Option<Height> {
    let (from, to) = (from.pitch?, to.pitch?);
    (to.rung - from.rung == 1).then_some(to)
}

fn cadence(texture: &Texture, moments: &Moments, at: i64, endings: &[Ending]) -> Option<Cadence> {
    let fulfilled = |cantizans: &Ending| {
        let leading = cantizans.before.of(texture);
        let goal = goal(leading, cantizans.last.of(texture))?;
        let others = endings.iter().filter_map(|other| {
            let role = role(goal, other.before.of(texture), other.last.of(texture))?;
            Some((role, other.before))
        });
        let mut others: Vec<(Role, NoteRef)> = others.collect();
        others.sort_by_key(|(role, _)| *role);
        let of = |role: Role| others.iter().find(|(other, _)| *other == role).map(|(_, note)| *note);
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
                cantizans: Some(id(cantizans.before)),
                tenorizans: tenorizans.map(id),
                bassizans: bassizans.map(id),
                altizans: None,
            },
            kind: CadenceKind::None,
            pair: None,
            suspension: None,
            level: level(leading.end - leading.onset, leading.measure.minim),
            phrygian,
            evaded_by: None,
            ornaments: Vec::new(),
            leading: vec![id(cantizans.before)],
            plagal: None,
        })
    };
    endings.iter().find_map(fulfilled)
}
