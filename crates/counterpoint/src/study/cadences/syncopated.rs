//! Cadences with a suspension.

use rudiments::{Time, Value};

use super::cantizans::{CadenceOrnament, Cantizans};
use super::outcome::{self, EvadedBy, Meeting};
use super::partners::{Arrival, arrivals};
use super::role::{FIFTH, FOURTH, Role, Roles, SECOND, above};
use super::{Cadence, kind};
use crate::study::moments::{Moment, Moments, minims};
use crate::study::suspension::{Ornament, Suspension};
use crate::texture::{Height, Texture};

/// All of them, in order of time, at most one at a moment.
pub(crate) fn cadences(
    texture: &Texture,
    moments: &Moments,
    suspensions: &[Suspension],
) -> Vec<Cadence> {
    // Every suspended note, by line and time, whatever it is dissonant with.
    let mut held: Vec<&Suspension> = suspensions.iter().collect();
    held.sort_by_key(|one| (one.held.line, one.dissonance, one.resolution));
    held.dedup_by_key(|one| (one.held.line, one.dissonance));
    let mut found = Vec::new();
    for (place, one) in held.iter().enumerate() {
        let next = held.get(place + 1).filter(|next| next.held.line == one.held.line);
        let close = Close { texture, moments, one, next: next.copied() };
        found.extend(close.cadence());
    }
    // At one moment a fulfilled one counts, and of those one with a semitone.
    found.sort_by_key(|cadence| (cadence.at, cadence.is_evaded()));
    found.dedup_by_key(|cadence| cadence.at);
    found
}

/// A suspension that may make a cadence.
struct Close<'t> {
    texture: &'t Texture,
    moments: &'t Moments,
    one: &'t Suspension,
    /// The next suspension of its voice.
    next: Option<&'t Suspension>,
}

/// How it comes out.
struct Outcome {
    at: i64,
    arrives: bool,
    evaded_by: Option<EvadedBy>,
}

impl Close<'_> {
    fn cadence(&self) -> Option<Cadence> {
        let Suspension { held, preparation, dissonance, resolution, resolved, .. } = *self.one;
        let (texture, line) = (self.texture, held.line as usize);
        let goal = held.of(texture).pitch?;
        let at_dissonance = self.moments.at(dissonance)?;
        if resolution <= dissonance || !carries(at_dissonance, held.line, goal) {
            return None;
        }
        // Where the resolution is anticipated it takes a quarter of the whole, else a half.
        let limit = dissonance.saturating_add((resolution - dissonance).saturating_mul(4));
        let cantizans = Cantizans {
            texture,
            line,
            goal,
            held: held.note as usize,
            first: resolved.note as usize,
            limit,
        };
        let arrivals = arrivals(texture, line, goal, resolution, limit);
        let leading = resolved.of(texture).pitch?;
        let phrygian = is_phrygian(at_dissonance, &arrivals, texture, goal, leading);
        let outcome = self.outcome(&cantizans, &arrivals, at_dissonance, phrygian, leading)?;
        let way = cantizans.until(outcome.at);
        let (kind, pair) = kind::kind(at_dissonance, held.line, goal);
        let mut roles = self.roles(&arrivals, outcome.at, goal);
        roles.cantizans = Some(cantizans.last_leading(&way).id(texture));
        let mut ornaments = self.ornaments();
        ornaments.extend(cantizans.ornaments(&way, outcome.arrives));
        let time = |at: i64| minims(texture, at);
        let minim = held.of(texture).measure.minim;
        Some(Cadence {
            preparation: Some(time(preparation)),
            dissonance: Some(time(dissonance)),
            resolution: time(resolution),
            at: time(outcome.at),
            goal: goal.pitch(),
            degree: None,
            roles,
            kind,
            pair: Some(pair),
            suspension: kind::numbers(at_dissonance, held.line, goal),
            level: level(outcome.at - dissonance, minim),
            phrygian,
            evaded_by: outcome.evaded_by,
            ornaments,
            leading: way.iter().map(|note| note.id(texture)).collect(),
            plagal: None,
        })
    }

    fn outcome(
        &self,
        cantizans: &Cantizans<'_>,
        arrivals: &[Arrival],
        at_dissonance: Moment<'_>,
        phrygian: bool,
        leading: Height,
    ) -> Option<Outcome> {
        let goal = cantizans.goal;
        let meets = arrivals.iter().find(|one| cantizans.strikes_goal_at(one.at));
        if let Some(&Arrival { at, .. }) = meets {
            let evaded_by = match outcome::together(self.moments, at, goal, phrygian)? {
                Meeting::Fulfilled => None,
                Meeting::Evaded(by) => Some(by),
                Meeting::Dissonant => return None,
            };
            return Some(Outcome { at, arrives: true, evaded_by });
        }
        if let Some(place) = cantizans.goal() {
            let at = self.texture.lines[cantizans.line].notes[place].onset;
            let evaded_by = self.deserted(cantizans, at, at_dissonance)?;
            return Some(Outcome { at, arrives: true, evaded_by: Some(evaded_by) });
        }
        // A leading note that becomes the next dissonance goes on with a chain.
        let leaves = cantizans.leaves();
        let goes_on = self.next.is_some_and(|next| next.preparation < leaves);
        let arrival = arrivals.iter().find(|arrival| arrival.at >= leaves)?;
        let at = arrival.at;
        // A goal that only one voice reaches is heard as one on a stronger place than the resolution.
        let measure = self.one.held.of(self.texture).measure;
        if measure.rank(at) >= measure.rank(self.one.resolution) {
            return None;
        }
        let own = self.moments.at(at)?.of_line(cantizans.line as u32);
        // At an end a cadence is meant, whatever the signs are.
        let ends = arrival.goal.of(self.texture).facts.last;
        let rings = phrygian || goal.semitones - leading.semitones == 1;
        let evaded_by = match own {
            None => EvadedBy::Rest,
            Some(_) if (rings || ends) && !goes_on => EvadedBy::Cantizans,
            Some(_) => return None,
        };
        Some(Outcome { at, arrives: false, evaded_by: Some(evaded_by) })
    }

    /// Who leaves the cantizans alone on the goal: the lowest of the voices that were with it at the
    /// dissonance, kept their place until now, and go elsewhere.
    fn deserted(
        &self,
        cantizans: &Cantizans<'_>,
        at: i64,
        at_dissonance: Moment<'_>,
    ) -> Option<EvadedBy> {
        let goal = cantizans.goal;
        let moment = self.moments.at(at)?;
        if !outcome::is_consonant(goal, moment) {
            return None;
        }
        let before = self.moments.at(at - 1)?;
        let mut others: Vec<_> = before
            .sounding
            .iter()
            .filter(|other| other.note.line as usize != cantizans.line)
            .filter(|other| {
                let note = other.note.of(self.texture);
                note.end == at && note.leave != Some(0)
            })
            .filter(|other| {
                let was = at_dissonance.of_line(other.note.line);
                was.is_some_and(|was| above(goal, was.height) == above(goal, other.height))
            })
            .collect();
        others.sort_by_key(|other| other.pitch());
        let (other, role) =
            others.into_iter().find_map(|other| match above(goal, other.height) {
                SECOND => Some((other, EvadedBy::Tenorizans)),
                FIFTH if before.is_lowest(other) => Some((other, EvadedBy::Bassizans)),
                _ => None,
            })?;
        let rests = moment.of_line(other.note.line).is_none();
        Some(if rests { EvadedBy::Rest } else { role })
    }

    /// Which voices have the other roles, by what they do at the goal.
    fn roles(&self, arrivals: &[Arrival], at: i64, goal: Height) -> Roles {
        let texture = self.texture;
        let mut roles = Roles::default();
        for arrival in arrivals.iter().filter(|arrival| arrival.at == at) {
            let place = match arrival.role {
                Role::Tenorizans => &mut roles.tenorizans,
                _ => &mut roles.bassizans,
            };
            place.get_or_insert(arrival.leading.id(texture));
        }
        let arrives =
            |line: u32| arrivals.iter().any(|one| one.at == at && one.line == line as usize);
        let Some(before) = self.moments.at(at - 1) else { return roles };
        for other in before.sounding {
            if other.note.line == self.one.held.line || arrives(other.note.line) {
                continue;
            }
            let note = other.note.of(texture);
            let next = other.note.after(texture).map(|next| next.of(texture));
            let moves = (note.end == at).then_some(note.leave).flatten();
            let stays = note.end > at || moves == Some(0);
            let goes = next.is_some() && note.end == at && !stays;
            let place = match (above(goal, other.height), moves) {
                (SECOND, _) if !stays => &mut roles.tenorizans,
                (FIFTH, Some(7)) => &mut roles.bassizans,
                (FIFTH, _) if goes && before.is_lowest(other) => &mut roles.bassizans,
                (FIFTH, Some(..=-1)) | (FOURTH, Some(-1)) => &mut roles.altizans,
                (FIFTH, _) if stays => &mut roles.altizans,
                _ => continue,
            };
            place.get_or_insert(other.note.id(texture));
        }
        roles
    }

    /// How the suspended note and its resolution are ornamented.
    fn ornaments(&self) -> Vec<CadenceOrnament> {
        let resolution = self.one.ornament.and_then(|ornament| match ornament {
            Ornament::Anticipated => Some(CadenceOrnament::Anticipated),
            Ornament::ThirdBelow => Some(CadenceOrnament::ThirdBelow),
            Ornament::Rest => Some(CadenceOrnament::Rest),
            // The way of the leading note shows it.
            Ornament::Turned => None,
        });
        let restruck = self.one.restruck.then_some(CadenceOrnament::Restruck);
        restruck.into_iter().chain(resolution).collect()
    }
}

/// Whether a suspended voice is dissonant with a tenorizans, or a bassizans below it.
fn carries(moment: Moment<'_>, cantizans: u32, goal: Height) -> bool {
    moment.sounding.iter().any(|other| {
        let below = (other.height.rung, other.height.semitones) < (goal.rung, goal.semitones);
        let role = above(goal, other.height);
        other.note.line != cantizans && (role == SECOND || role == FIFTH && below)
    })
}

/// Whether the tenorizans comes from a semitone above the goal, and the cantizans from a tone below.
fn is_phrygian(
    at_dissonance: Moment<'_>,
    arrivals: &[Arrival],
    texture: &Texture,
    goal: Height,
    leading: Height,
) -> bool {
    let arriving = arrivals.iter().find(|one| one.role == Role::Tenorizans);
    let arriving = arriving.and_then(|one| one.leading.of(texture).pitch);
    let sounding = || {
        let heights = at_dissonance.sounding.iter().map(|other| other.height);
        heights.filter(|height| above(goal, *height) == SECOND).min_by_key(|height| height.rung)
    };
    let tenorizans = arriving.or_else(sounding);
    let falls =
        tenorizans.is_some_and(|from| (from.semitones - goal.semitones).rem_euclid(12) == 1);
    falls && goal.semitones - leading.semitones == 2
}

/// The longest value that lasts at most so long; a breve at most.
pub(super) fn level(length: i64, minim: i64) -> Value {
    let values = [Value::Breve, Value::Semibreve, Value::Minim, Value::Semiminim];
    let fits = |value: &Value| {
        let plain: Time = value.plain();
        plain.numerator() * minim <= length * plain.denominator()
    };
    values.into_iter().find(fits).unwrap_or(Value::Fusa)
}
