//! Cadences without a suspension, which count only at an end.

use std::collections::BTreeMap;

use rudiments::Time;
use score::Score;

use super::Cadence;
use super::cantizans::CadenceOrnament;
use super::kind::CadenceKind;
use super::outcome::{self, Meeting};
use super::partners::role;
use super::role::{Role, Roles};
use super::syncopated::level;
use crate::study::moments::{Moments, NoteRef, minims};
use crate::texture::{Line, Texture};

/// Minims between a cadence and the end for which it is meant: two breves.
const WITHIN: i64 = 8;

/// A voice that comes to a note.
#[derive(Clone, Copy)]
struct Coming {
    to: NoteRef,
    /// The note or rest before.
    from: NoteRef,
}

/// What comes to its notes at each moment.
type Comings = BTreeMap<i64, Vec<Coming>>;

/// Adds what comes to an end without a suspension, where nothing else does.
pub(super) fn add_cadences(
    found: &mut Vec<Cadence>,
    texture: &Texture,
    score: &Score,
    moments: &Moments,
) {
    let ending = comings(texture, |line, place| ends(score, &texture.lines[line], place));
    let times: Vec<Time> = found.iter().map(|cadence| cadence.at).collect();
    let is_new = |at: &i64| times.binary_search(&minims(texture, *at)).is_err();
    let ending = ending.iter().filter(|(at, _)| is_new(at));
    found.extend(ending.filter_map(|(at, all)| cadence(texture, moments, *at, all)));
    found.sort_by_key(|cadence| cadence.at);
    add_last(found, texture, moments);
}

/// Adds for every section that has no cadence at its end the last one without a suspension within
/// two breves before its last sonority, though the voices go on from it.
fn add_last(found: &mut Vec<Cadence>, texture: &Texture, moments: &Moments) {
    let sonorities = last_sonorities(texture);
    let within = WITHIN * texture.minim;
    let without: Vec<i64> = sonorities
        .into_iter()
        .filter(|last| {
            let (from, to) = (minims(texture, last - within), minims(texture, *last));
            let before = found.partition_point(|cadence| cadence.at < from);
            found.get(before).is_none_or(|cadence| cadence.at > to)
        })
        .collect();
    if without.is_empty() {
        return;
    }
    let near = comings(texture, |line, place| {
        let at = texture.lines[line].notes[place].onset;
        let next = without.partition_point(|last| *last < at);
        without.get(next).is_some_and(|last| last - within <= at)
    });
    for last in without {
        let mut before = near.range(last - within..=last).rev();
        found.extend(before.find_map(|(at, all)| cadence(texture, moments, *at, all)));
    }
    found.sort_by_key(|cadence| cadence.at);
}

/// When the last note of each section begins, in order.
fn last_sonorities(texture: &Texture) -> Vec<i64> {
    let mut last: BTreeMap<u32, i64> = BTreeMap::new();
    let sung = texture.lines.iter().flat_map(|line| &line.notes).filter(|n| n.pitch.is_some());
    for note in sung {
        let onset = last.entry(note.section).or_insert(note.onset);
        *onset = note.onset.max(*onset);
    }
    last.into_values().collect()
}

/// The notes for which something is so, by when they begin, each with the one before.
fn comings(texture: &Texture, is: impl Fn(usize, usize) -> bool) -> Comings {
    let mut found = Comings::new();
    for (line, of_line) in texture.lines.iter().enumerate() {
        for (place, note) in of_line.notes.iter().enumerate().skip(1) {
            if note.pitch.is_some() && is(line, place) {
                let (to, from) = (NoteRef::new(line, place), NoteRef::new(line, place - 1));
                found.entry(note.onset).or_default().push(Coming { to, from });
            }
        }
    }
    found
}

/// Whether a note is the last of its section, has a corona, or is followed by a rest.
fn ends(score: &Score, line: &Line, place: usize) -> bool {
    let note = &line.notes[place];
    let event = score.voices.get(line.voice).and_then(|v| v.events.get(note.event as usize));
    let has_corona = event.is_some_and(|event| event.signs.has(notation::NoteSign::Corona));
    let next = line.notes.get(place + 1);
    note.facts.last || has_corona || next.is_none_or(|next| next.pitch.is_none())
}

/// The leading note of a voice that goes up a step to a note, or from the third below, after
/// the leading note.
fn leading(texture: &Texture, coming: &Coming) -> Option<NoteRef> {
    let height = |note: NoteRef| note.of(texture).pitch;
    let last = height(coming.to)?.rung;
    match last - height(coming.from)?.rung {
        1 => Some(coming.from),
        2 => {
            let leading = coming.from.before()?;
            (last - height(leading)?.rung == 1).then_some(leading)
        }
        _ => None,
    }
}

fn cadence(texture: &Texture, moments: &Moments, at: i64, comings: &[Coming]) -> Option<Cadence> {
    let fulfilled = |cantizans: &Coming| {
        let first = leading(texture, cantizans)?;
        let under = first != cantizans.from;
        let leading = first.of(texture);
        let goal = cantizans.to.of(texture).pitch?;
        let others = comings.iter().filter_map(|other| {
            let role = role(goal, other.from.of(texture), other.to.of(texture))?;
            Some((role, other.from))
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
        if outcome::together(moments, at, goal, phrygian)? != Meeting::Fulfilled {
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
            ornaments: under.then_some(CadenceOrnament::UnderThird).into_iter().collect(),
            leading: [Some(first), under.then_some(cantizans.from)]
                .into_iter()
                .flatten()
                .map(id)
                .collect(),
            plagal: None,
        })
    };
    comings.iter().find_map(fulfilled)
}
