//! The answers of `join` as JSON.

use cartella::{Joined, Model, NewSign};
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct Joinings {
    version: u32,
    joinings: Vec<Joining>,
}

#[derive(Serialize)]
struct Joining {
    rank: usize,
    #[serde(flatten)]
    entry: Entry,
}

#[derive(Serialize)]
struct Entry {
    at: String,
    place: &'static str,
    side: &'static str,
    steps: i32,
    quality: &'static str,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    signs: Vec<Sign>,
    #[serde(skip_serializing_if = "Option::is_none")]
    over_lowest: Option<u32>,
    first: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    cadence: Option<Cadence>,
    #[serde(skip_serializing_if = "Option::is_none")]
    bridge: Option<u32>,
    remarks: Vec<Remark>,
}

#[derive(Serialize)]
struct Sign {
    voice: u32,
    at: String,
    pitch: String,
}

#[derive(Serialize)]
struct Cadence {
    kind: &'static str,
    goal: String,
    at: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    dissonance: Option<String>,
    evaded: bool,
}

#[derive(Serialize)]
struct Remark {
    rule: &'static str,
    at: String,
}

#[derive(Serialize)]
pub(super) struct Patterns {
    version: u32,
    patterns: Vec<Pattern>,
}

#[derive(Serialize)]
struct Pattern {
    direction: &'static str,
    side: &'static str,
    kind: &'static str,
    place: &'static str,
    joining: Option<Entry>,
}

fn side(above: bool) -> &'static str {
    if above { "above" } else { "below" }
}

fn entry(joined: &Joined) -> Entry {
    let sign = |sign: &NewSign| Sign {
        voice: sign.voice,
        at: sign.at.to_string(),
        pitch: sign.pitch.to_string(),
    };
    Entry {
        at: joined.at.to_string(),
        place: joined.place.name(),
        side: side(joined.above),
        steps: joined.steps,
        quality: joined.quality.name(),
        signs: joined.signs.iter().map(sign).collect(),
        over_lowest: joined.makes,
        first: joined.meanwhile.name(),
        cadence: joined.cadence.as_ref().map(|cadence| Cadence {
            kind: cadence.kind.name(),
            goal: cadence.goal.to_string(),
            at: cadence.at.to_string(),
            dissonance: cadence.dissonance.map(|at| at.to_string()),
            evaded: cadence.is_evaded(),
        }),
        bridge: joined.bridge,
        remarks: joined
            .remarks
            .iter()
            .map(|(rule, at)| Remark { rule: rule.name(), at: at.to_string() })
            .collect(),
    }
}

pub(super) fn joinings(found: &[Joined]) -> Joinings {
    let joinings = (1..).zip(found).map(|(rank, joined)| Joining { rank, entry: entry(joined) });
    Joinings { version: 1, joinings: joinings.collect() }
}

pub(super) fn patterns(models: &[Model]) -> Patterns {
    let patterns = models.iter().map(|model| Pattern {
        direction: if model.rising { "rising" } else { "falling" },
        side: side(model.above),
        kind: model.kind.name(),
        place: model.place.name(),
        joining: model.joining.as_ref().map(|(_, joined)| entry(joined)),
    });
    Patterns { version: 1, patterns: patterns.collect() }
}
