//! `score --audit`: what is drawn wrong in a picture, and where everything stands.

use std::collections::BTreeMap;

use cartella::{FindingKind, Picture, Score, audit, heads, measures, staves};
use serde::Serialize;

use crate::printed::Printed;
use crate::report::json;

/// Lengths are in millimetres from the upper left corner of the page; a picture that is not divided
/// into pages is page 1.
#[derive(Serialize)]
struct Answer<'s> {
    version: u32,
    #[serde(skip_serializing_if = "Option::is_none")]
    example: Option<&'s str>,
    audit: Vec<Finding<'s>>,
    measures: Vec<Measure>,
    heads: Vec<Head<'s>>,
    staves: Vec<StaffPlace>,
}

#[derive(Serialize)]
struct Finding<'s> {
    kind: &'static str,
    items: Vec<String>,
    voice: Option<&'s str>,
    index: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    bar: Option<u32>,
    page: u32,
}

/// How often something is found on all pages, and among how many.
#[derive(Serialize)]
struct Measure {
    kind: &'static str,
    found: u32,
    of: u32,
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
struct ClefChange {
    x: f64,
    clef: String,
}

#[derive(Serialize)]
struct StaffPlace {
    page: u32,
    staff: usize,
    system: u32,
    clef: String,
    clef_changes: Vec<ClefChange>,
    octave: i8,
    bottom: f64,
    space: f64,
}

pub(crate) fn answer(pages: &[Picture], score: &Score) -> Printed {
    let name = |voice: usize| score.voices[voice].name.as_str();
    let finding = |page: u32, finding: cartella::Finding| Finding {
        kind: finding.kind.word(),
        items: finding.items.iter().map(|role| format!("{role:?}").to_lowercase()).collect(),
        voice: finding.voice.map(name),
        index: finding.index,
        bar: finding.bar.map(|bar| score.bars[bar].number),
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
        clef_changes: staff
            .clef_changes
            .iter()
            .map(|(x, clef)| ClefChange { x: rounded(x.0), clef: clef.to_string() })
            .collect(),
        octave: staff.octave_change,
        bottom: rounded(staff.bottom.0),
        space: rounded(staff.space.0),
    };
    let mut sums: BTreeMap<FindingKind, Measure> = BTreeMap::new();
    for counted in pages.iter().flat_map(measures) {
        let kind = counted.kind.word();
        let sum = sums.entry(counted.kind).or_insert(Measure { kind, found: 0, of: 0 });
        sum.found += counted.found;
        sum.of += counted.of;
    }
    let (mut findings, mut all_heads, mut all_staves) = (Vec::new(), Vec::new(), Vec::new());
    for (number, page) in (1..).zip(pages) {
        findings.extend(audit(page).into_iter().map(|found| finding(number, found)));
        all_heads.extend(heads(page).into_iter().map(|found| head(number, found)));
        all_staves.extend(staves(page).into_iter().map(|found| staff(number, found)));
    }
    json(&Answer {
        version: 1,
        example: score.heading.example.as_deref(),
        audit: findings,
        measures: sums.into_values().collect(),
        heads: all_heads,
        staves: all_staves,
    })
}

/// To a thousandth of a millimetre.
fn rounded(length: f64) -> f64 {
    (length * 1000.0).round() / 1000.0
}
