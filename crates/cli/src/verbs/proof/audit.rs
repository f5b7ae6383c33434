//! `proof --audit`: what is drawn wrong on a sheet, what is missing, and where everything stands.

use cartella::{Copied, Finding, Picture, audit, heads, staves};
use serde::Serialize;

use crate::printed::Printed;
use crate::report::json;

/// Lengths are in millimetres from the upper left corner of the page; a picture that is not divided into pages
/// is page 1.
#[derive(Serialize)]
struct Answer<'c> {
    version: u32,
    #[serde(skip_serializing_if = "Option::is_none")]
    example: Option<&'c str>,
    audit: Vec<Found<'c>>,
    heads: Vec<Head<'c>>,
    staves: Vec<StaffPlace>,
}

#[derive(Serialize)]
struct Found<'c> {
    kind: &'static str,
    items: Vec<String>,
    voice: Option<&'c str>,
    index: Option<u32>,
    /// The line of the source.
    source_line: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    page: Option<u32>,
}

#[derive(Serialize)]
struct Head<'c> {
    voice: &'c str,
    index: Option<u32>,
    page: u32,
    row: u32,
    staff: usize,
    x: f64,
    y: f64,
}

#[derive(Serialize)]
struct StaffPlace {
    page: u32,
    row: u32,
    staff: usize,
    clef: String,
    octave: i8,
    bottom: f64,
    space: f64,
}

pub(super) fn answer(pages: &[Picture], copied: &Copied<'_>) -> Printed {
    let voices = &copied.example().piece().voices;
    let name = |voice: usize| voices[voice].name.as_str();
    let found = |finding: Finding, page: Option<u32>| Found {
        kind: finding.kind.word(),
        items: finding.items.iter().map(|role| format!("{role:?}").to_lowercase()).collect(),
        voice: finding.voice.map(name),
        index: finding.index,
        source_line: finding.bar.map(|line| line as u32 + 1),
        page,
    };
    let all: Vec<&Picture> = pages.iter().collect();
    let mut findings: Vec<Found<'_>> =
        copied.unaccounted(&all).into_iter().map(|finding| found(finding, None)).collect();
    let (mut all_heads, mut all_staves) = (Vec::new(), Vec::new());
    for (page, picture) in (1..).zip(pages) {
        findings.extend(audit(picture).into_iter().map(|finding| found(finding, Some(page))));
        all_heads.extend(heads(picture).into_iter().map(|head| Head {
            voice: name(head.voice),
            index: head.index,
            page,
            row: head.system,
            staff: head.staff,
            x: rounded(head.x.0),
            y: rounded(head.y.0),
        }));
        all_staves.extend(staves(picture).into_iter().map(|staff| StaffPlace {
            page,
            row: staff.system,
            staff: staff.staff,
            clef: staff.clef.to_string(),
            octave: staff.octave_change,
            bottom: rounded(staff.bottom.0),
            space: rounded(staff.space.0),
        }));
    }
    json(&Answer {
        version: 1,
        example: copied.heading.example.as_deref(),
        audit: findings,
        heads: all_heads,
        staves: all_staves,
    })
}

/// To a thousandth of a millimetre.
fn rounded(length: f64) -> f64 {
    (length * 1000.0).round() / 1000.0
}
