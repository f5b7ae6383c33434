//! `score --audit`: what is drawn wrong in a picture, and where everything stands.

use cartella::{FindingKind, Picture, Score, audit, heads, staves};
use serde::Serialize;

use crate::printed::Printed;
use crate::report::json;

/// Lengths are in millimetres from the upper left corner of the page; a picture that is not divided
/// into pages is page 1.
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

pub(crate) fn answer(pages: &[Picture], score: &Score) -> Printed {
    let name = |voice: usize| score.voices[voice].name.as_str();
    let finding = |page: u32, finding: cartella::Finding| Finding {
        kind: match finding.kind {
            FindingKind::Overlap => "overlap",
            FindingKind::ShortStem => "short-stem",
            FindingKind::OutsidePage => "outside-page",
            FindingKind::Margin => "margin",
        },
        items: finding.items.iter().map(|role| format!("{role:?}").to_lowercase()).collect(),
        voice: finding.voice.map(name),
        index: finding.index,
        page,
    };
    let head = |page: u32, head: cartella::HeadPlace| Head {
        voice: name(head.voice),
        index: head.index,
        page,
        system: head.system,
        staff: head.staff,
        x: rounded(head.x.0),
        y: rounded(head.y.0),
    };
    let staff = |page: u32, staff: cartella::StaffOnPage| StaffPlace {
        page,
        staff: staff.staff,
        system: staff.system,
        clef: staff.clef.to_string(),
        octave: staff.octave_change,
        bottom: rounded(staff.bottom.0),
        space: rounded(staff.space.0),
    };
    let (mut findings, mut all_heads, mut all_staves) = (Vec::new(), Vec::new(), Vec::new());
    for (number, page) in (1..).zip(pages) {
        findings.extend(audit(page).into_iter().map(|found| finding(number, found)));
        all_heads.extend(heads(page).into_iter().map(|found| head(number, found)));
        all_staves.extend(staves(page).into_iter().map(|found| staff(number, found)));
    }
    json(&Answer { version: 1, audit: findings, heads: all_heads, staves: all_staves })
}

/// To a thousandth of a millimetre.
fn rounded(length: f64) -> f64 {
    (length * 1000.0).round() / 1000.0
}
