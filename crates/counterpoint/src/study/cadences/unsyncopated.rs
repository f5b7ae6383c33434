//! Cadences without a suspension, which count only at an end.

use std::collections::BTreeMap;

use rudiments::Time;
use score::Score;

use super::Cadence;
use super::cantizans::CadenceOrnament;
use super::kind::CadenceKind;
use super::outcome::{self, Meeting};
use super::partners::role;
use super::role::{FIFTH, Role, Roles, THIRD, above};
use super::syncopated::level;
use crate::study::moments::{Moments, NoteRef, Sounding, minims};
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
        let met = before.find_map(|(at, all)| cadence(texture, moments, *at, all));
        found.extend(met.or_else(|| tenorizans_alone(texture, moments, last)));
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

/// An end to which the lowest voice comes as the tenorizans, while no voice has the leading note: another
/// falls from the fourth degree to the third (common practice, as at the end of a strict canon).
fn tenorizans_alone(texture: &Texture, moments: &Moments, at: i64) -> Option<Cadence> {
    let moment = moments.at(at)?;
    let lowest = moment.lowest()?;
    let (from, to) = (lowest.note.before()?, lowest.note.of(texture));
    let (goal, leading) = (to.pitch?, from.of(texture));
    if !lowest.struck || role(goal, leading, to) != Some(Role::Tenorizans) {
        return None;
    }
    let degree = |one: &Sounding| above(goal, one.height);
    if moment.sounding.iter().any(|one| !matches!(degree(one), 0 | THIRD | FIFTH)) {
        return None;
    }
    let fills = |one: &&Sounding| {
        one.struck && degree(one) == THIRD && one.note.of(texture).come == Some(-1)
    };
    let altizans = moment.sounding.iter().find(fills)?.note.before()?;
    Some(Cadence {
        preparation: None,
        dissonance: None,
        resolution: minims(texture, leading.onset),
        at: minims(texture, at),
        goal: goal.pitch(),
        degree: None,
        roles: Roles {
            tenorizans: Some(from.id(texture)),
            altizans: Some(altizans.id(texture)),
            ..Roles::default()
        },
        kind: CadenceKind::None,
        pair: None,
        suspension: None,
        level: level(at - leading.onset, leading.measure.minim),
        phrygian: false,
        evaded_by: None,
        ornaments: Vec::new(),
        leading: Vec::new(),
        plagal: None,
    })
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

#[cfg(test)]
mod tests {
    use super::super::{Cadence, of};
    use crate::study::testing::{scored, voices};

    fn found(music: &[&str]) -> Vec<Cadence> {
        let (piece, score) = scored(&voices(music));
        of(&piece, &score)
    }

    /// Thirds that fall to the end, as where a canon breaks off.
    #[test]
    fn an_end_of_the_tenorizans_alone() {
        let found = found(&["sb E4 D4 C4 lg B3", "sb C4 B3 A3 lg G3"]);
        let told: Vec<_> = found.iter().map(|one| (one.name(), one.goal.to_string())).collect();
        assert_eq!(told, [("tenorizans alone", "G3".to_owned())]);
        assert!(found[0].roles.cantizans.is_none() && found[0].roles.altizans.is_some());
    }

    /// The lowest voice must have the goal, and another the third.
    #[test]
    fn no_end_without_the_goal_below() {
        assert_eq!(found(&["sb C4 B3 A3 lg G3", "sb A3 G3 F3 lg E3"]).len(), 1);
        assert_eq!(found(&["sb E4 D4 C4 lg B3", "sb C4 B3 E3 lg G3"]), []);
    }
}
