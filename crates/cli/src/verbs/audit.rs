//! `score --audit`: what is drawn wrong in a picture, and where everything stands.

use engrave::{FindingKind, Picture, audit, heads, staves};
use score::Score;
use serde::Serialize;

use crate::report::json;

/// Lengths are in millimetres from the upper left corner; a picture that is not divided into pages
/// is page 1.
#[derive(Serialize)]
struct Answer<'s> {
    version: u32,
    audit: Vec<Finding<'s>>,
    heads: Vec<Head<'s>>,
    staves: Vec<StaffPlace>,
}

#[derive(Serialize)]
struct Finding<'s> {
    kind: &'static str,
    items: Vec<String>,
    voice: Option<&'s str>,
    index: Option<u32>,
    page: u32,
}

#[derive(Serialize)]
struct Head<'s> {
    voice: &'s str,
    index: Option<u32>,
    page: u32,
    system: u32,
    staff: usize,
    x: f64,
    y: f64,
}

#[derive(Serialize)]
struct StaffPlace {
    page: u32,
    staff: usize,
    system: u32,
    clef: String,
    octave: i8,
    bottom: f64,
    space: f64,
}

pub(crate) fn answer(picture: &Picture, score: &Score) -> String {
    let name = |voice: usize| score.voices[voice].name.as_str();
    let audit = audit(picture).into_iter().map(|finding| Finding {
        kind: match finding.kind {
            FindingKind::Overlap => "overlap",
            FindingKind::ShortStem => "short-stem",
            FindingKind::OutsidePage => "outside-page",
        },
        items: finding.items.iter().map(|role| format!("{role:?}").to_lowercase()).collect(),
        voice: finding.voice.map(name),
        index: finding.index,
        page: 1,
    });
    let heads = heads(picture).into_iter().map(|head| Head {
        voice: name(head.voice),
        index: head.index,
        page: 1,
        system: head.system,
        staff: head.staff,
        x: rounded(head.x.0),
        y: rounded(head.y.0),
    });
    let staves = staves(picture).into_iter().map(|staff| StaffPlace {
        page: 1,
        staff: staff.staff,
        system: staff.system,
        clef: staff.clef.to_string(),
        octave: staff.octave_change,
        bottom: rounded(staff.bottom.0),
        space: rounded(staff.space.0),
    });
    json(&Answer {
        version: 1,
        audit: audit.collect(),
        heads: heads.collect(),
        staves: staves.collect(),
    })
}

/// To a thousandth of a millimetre.
fn rounded(length: f64) -> f64 {
    (length * 1000.0).round() / 1000.0
}
