//! Whether an example has what is asked for, and where.

use cartella::invention::Steps;

use crate::melody::Found;
use crate::question::{Goal, Imitated, Question};
use crate::row::{Cadence, Row};

/// An example that has what is asked for.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Hit {
    /// The bars in which it is, the first place of each thing; all bars where nothing has a place.
    pub bars: (u32, u32),
    /// What was found where, in the order in which it is asked for.
    pub why: Vec<String>,
    /// How far the subject is from what was typed: 0 where it is as typed, or none is asked for.
    pub distance: u8,
}

/// What a part of a question found first.
struct Part {
    bars: (u32, u32),
    why: String,
    distance: u8,
}

/// A subject where it stands.
struct Standing {
    voice: usize,
    found: Found,
}

impl Question {
    /// Whether an example has all that is asked for, and where. Linear in its notes, but for places of
    /// the subject, of which each is compared with those that follow.
    pub fn answer(&self, row: &Row) -> Option<Hit> {
        if self.voices.is_some_and(|voices| voices != row.voices.len())
            || self.mode.is_some_and(|mode| !row.modes.contains(&mode))
            || (self.clefs.is_some() && self.clefs != row.clefs)
        {
            return None;
        }
        let has = |wanted: &String| {
            row.topics.iter().any(|topic| topic.to_lowercase() == wanted.to_lowercase())
        };
        if !self.topics.iter().all(has) {
            return None;
        }
        let mut parts = Vec::new();
        match (self.standing(row), self.imitation) {
            (None, None) => {}
            (None, Some(imitated)) => parts.push(imitation(row, imitated)?),
            (Some(places), None) => {
                let first = places.iter().min_by_key(|place| (place.found, place.voice))?;
                let notes = &row.voices[first.voice].notes;
                parts.push(Part {
                    bars: (notes[first.found.first].bar, notes[first.found.last].bar),
                    why: said(row, first),
                    distance: distance(first.found),
                });
            }
            (Some(places), Some(imitated)) => parts.push(answered(row, &places, imitated)?),
        }
        for goal in &self.cadences {
            let cadence = row.cadences.iter().find(|cadence| goal.is(cadence))?;
            parts.push(Part { bars: about(cadence), why: named(cadence), distance: 0 });
        }
        for goal in &self.upon {
            let entered = |cadence: &&Cadence| goal.is(cadence) && !cadence.upon.is_empty();
            let cadence = row.cadences.iter().find(entered)?;
            let entry = row.entries.get(cadence.upon.first()?.entry)?;
            let why = format!("{} enters upon {}", row.name(entry.voice), named(cadence));
            let (first, last) = about(cadence);
            parts.push(Part { bars: (first, last.max(entry.bars.1)), why, distance: 0 });
        }
        let first = parts.iter().map(|part| part.bars.0).min().unwrap_or(1);
        let last = parts.iter().map(|part| part.bars.1).max().unwrap_or(row.bars);
        Some(Hit {
            bars: (first, last),
            distance: parts.iter().map(|part| part.distance).max().unwrap_or(0),
            why: parts.into_iter().map(|part| part.why).collect(),
        })
    }

    /// Where the subject stands; nothing where none is asked for.
    fn standing(&self, row: &Row) -> Option<Vec<Standing>> {
        let sought = self.subject.as_ref()?;
        let voices = row.voices.iter().enumerate();
        let places = voices.flat_map(|(voice, sung)| {
            let found = sought.find(&sung.notes, self.direct).into_iter();
            found.map(move |found| Standing { voice, found })
        });
        Some(places.collect())
    }
}

/// So far is a place of a subject from what was typed.
fn distance(found: Found) -> u8 {
    u8::from(found.other_values) + 2 * u8::from(found.ornamented) + 4 * u8::from(found.inverted)
}

/// `Altus 2–9, bar 1, inverted`
fn said(row: &Row, place: &Standing) -> String {
    let notes = &row.voices[place.voice].notes;
    let (first, last) = (notes[place.found.first], notes[place.found.last]);
    let mut said = run(row.name(place.voice), (first.number, last.number));
    said += &format!(", bar {}", first.bar);
    for (is_so, what) in [
        (place.found.inverted, "inverted"),
        (place.found.ornamented, "with ornaments"),
        (place.found.other_values, "in other values"),
    ] {
        if is_so {
            said += &format!(", {what}");
        }
    }
    said
}

/// `Altus 2–9`
fn run(voice: &str, numbers: (Option<u32>, Option<u32>)) -> String {
    match numbers {
        (Some(first), Some(last)) => format!("{voice} {first}–{last}"),
        _ => voice.to_owned(),
    }
}

/// A place of the subject that another one answers as it should; the likest two.
fn answered(row: &Row, places: &[Standing], imitated: Imitated) -> Option<Part> {
    let begin = |place: &Standing| row.voices[place.voice].notes[place.found.first];
    let mut best: Option<(u8, &Standing, &Standing)> = None;
    for leader in places {
        for follower in places.iter().filter(|one| one.voice != leader.voice) {
            let (from, to) = (begin(leader), begin(follower));
            let delay = to.at.0 - from.at.0;
            let is_so = leader.found.inverted == follower.found.inverted
                && delay.is_positive()
                && imitated.is(to.rung - from.rung, delay);
            let far = distance(leader.found).max(distance(follower.found));
            if is_so && best.is_none_or(|(least, ..)| far < least) {
                best = Some((far, leader, follower));
            }
        }
    }
    let (far, leader, follower) = best?;
    let (from, to) = (begin(leader), begin(follower));
    let how = format!("{} after {}", Steps(to.rung - from.rung), to.at.0 - from.at.0);
    let last = |place: &Standing| row.voices[place.voice].notes[place.found.last].bar;
    Some(Part {
        bars: (from.bar, last(leader).max(last(follower))),
        why: format!("{}; {} follows {how}", said(row, leader), row.name(follower.voice)),
        distance: far,
    })
}

/// A voice that follows so, in a canon or with a subject.
fn imitation(row: &Row, imitated: Imitated) -> Option<Part> {
    let part = |voice, numbers, bars: (u32, u32), steps, delay| {
        let how = format!("{} after {delay}", Steps(steps));
        let why = format!("{} follows {how}, bar {}", run(row.name(voice), numbers), bars.0);
        Part { bars, why, distance: 0 }
    };
    let canons = row.canons.iter().filter(|canon| imitated.is(canon.steps, canon.delay.0));
    let canons = canons
        .map(|canon| part(canon.voices.1, canon.numbers, canon.bars, canon.steps, canon.delay));
    let entries = row.entries.iter().filter_map(|entry| {
        let relations = [entry.before, entry.model].into_iter().flatten();
        let (steps, delay) = { relations }.find(|(steps, delay)| imitated.is(*steps, delay.0))?;
        Some(part(entry.voice, entry.numbers, entry.bars, steps, delay))
    });
    canons.chain(entries).next()
}

impl Goal {
    /// Whether a cadence is such a one.
    fn is(&self, cadence: &Cadence) -> bool {
        self.tone.as_ref().is_none_or(|tone| *tone == cadence.goal)
            && self.kind.is_none_or(|kind| kind == cadence.kind)
            && (!self.phrygian || cadence.phrygian)
            && (!self.evaded || cadence.evaded_by.is_some())
    }
}

/// The bar of a cadence, and the one before it.
fn about(cadence: &Cadence) -> (u32, u32) {
    (cadence.bar.saturating_sub(1).max(1), cadence.bar)
}

/// `seventh on D, evaded, bar 4`
fn named(cadence: &Cadence) -> String {
    let kind = if cadence.kind == "none" { "plain" } else { &cadence.kind };
    let phrygian = if cadence.phrygian { ", Phrygian" } else { "" };
    let evaded = if cadence.evaded_by.is_some() { ", evaded" } else { "" };
    format!("{kind} on {}{phrygian}{evaded}, bar {}", cadence.goal, cadence.bar)
}
