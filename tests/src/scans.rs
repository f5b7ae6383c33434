//! Scans of the madrigals as they are read, and how far that is from the encodings.

use std::fs;
use std::path::Path;

use facsimile::{Network, Read, Row, Sizes, Sort, pages, read, strips};
use notation::{Event, Facsimile, Piece, Sound, Span};
use rudiments::{Accidental, Tone, Value};
use source::{Part, StaffLine};

use crate::{PARTS, printed_lines};

/// The voices of a madrigal as its scans are read.
///
/// # Panics
/// If a scan cannot be read.
pub fn read_scans(opendata: &Path, piece: &str, network: &Network) -> Vec<Part> {
    let part = |part: &&str| {
        let scan = opendata.join(format!("madrigals-1582/{piece}/facsimile/{part}.pdf"));
        let pages = pages(&fs::read(&scan).expect("a scan")).expect("pages");
        let mut lines = Vec::new();
        for (number, page) in (1..).zip(&pages) {
            let staves = strips(&page.picture);
            let sizes = Sizes::of(&page.picture, &staves);
            for staff in staves.iter().filter(|staff| !staff.empty) {
                let row = read(&sizes.laid(staff), network);
                let place = Some(Facsimile {
                    voice: None,
                    line: 1,
                    file: format!("{part}.pdf"),
                    page: number,
                    x: staff.x,
                    y: staff.y,
                    width: staff.width,
                    height: staff.height,
                    angle: staff.angle,
                    span: Span::default(),
                });
                lines.push(StaffLine { row, place, ends_page: false });
            }
        }
        lines.retain(StaffLine::has_music);
        Part { name: (*part).to_owned(), lines }
    };
    PARTS.iter().map(part).collect()
}

/// The voices of a madrigal as they are printed, each sign read as what it is.
pub fn printed_parts(opendata: &Path, madrigal: &str) -> Vec<Part> {
    // One beside the other, wherever.
    let sure = |(sort, at): (Sort, u32)| Read::new(sort, 1.0, 16 * at..16 * at + 8);
    let line = |sorts: Vec<Sort>| StaffLine {
        row: Row { sorts: sorts.into_iter().zip(0..).map(sure).collect(), changes: Vec::new() },
        place: None,
        ends_page: false,
    };
    let voices = printed_lines(opendata, madrigal).into_iter().zip(PARTS);
    let part = |(lines, name): (Vec<Vec<Sort>>, &str)| Part {
        name: name.to_owned(),
        lines: lines.into_iter().map(line).collect(),
    };
    voices.map(part).collect()
}

/// A note or rest as it is compared: tones with the signs printed before them, or the spaces of a rest; its
/// value; whether it has a dot.
type Compared = (Vec<(Tone, Option<Accidental>)>, Option<u8>, Value, bool);

/// What of the notes and rests of a voice is compared.
fn compared(piece: &Piece, voice: usize) -> Vec<Compared> {
    let events = piece.voices[voice].items.iter().filter_map(|item| item.event());
    let one = |event: &Event| {
        let (notes, spaces) = match &event.sound {
            Sound::Notes(notes) => (notes.iter().map(|n| (n.tone, n.printed)).collect(), None),
            Sound::Rest { spaces } => {
                let is_long = event.value == Value::Longa;
                (Vec::new(), Some(if is_long { spaces.unwrap_or(2) } else { 0 }))
            }
        };
        (notes, spaces, event.value, event.dot.is_some())
    };
    events.map(one).collect()
}

/// How a voice that was read stands to the same voice as it is encoded.
#[derive(Clone, Debug, Default)]
pub struct Likeness {
    /// How many notes the encoding has.
    pub notes: usize,
    /// How many of them are read as they are, value, pitch, sign and dot.
    pub right: usize,
    /// How many notes and rests are left out, added or mistaken at least.
    pub wrong: usize,
    /// Which notes and rests of what was read are as they are in the encoding.
    pub agree: Vec<bool>,
    /// What is mistaken for what: as read, and as encoded.
    pub pairs: Vec<(String, String)>,
}

/// Compares a voice with the same as it is encoded, along the alignment of the fewest differences
/// (Levenshtein's).
pub fn likeness(read: &Piece, encoded: &Piece, voice: usize) -> Likeness {
    let (one, other) = (compared(read, voice), compared(encoded, voice));
    let mut costs = vec![vec![0_usize; other.len() + 1]; one.len() + 1];
    for left in 0..=one.len() {
        for right in 0..=other.len() {
            costs[left][right] = match (left, right) {
                (0, more) | (more, 0) => more,
                _ => {
                    let same =
                        costs[left - 1][right - 1] + usize::from(one[left - 1] != other[right - 1]);
                    same.min(costs[left - 1][right] + 1).min(costs[left][right - 1] + 1)
                }
            };
        }
    }
    let mut found = Likeness {
        notes: other.iter().filter(|event| event.1.is_none()).count(),
        wrong: costs[one.len()][other.len()],
        agree: vec![false; one.len()],
        ..Likeness::default()
    };
    let said =
        |event: Option<&Compared>| event.map_or("-".to_owned(), |event| format!("{event:?}"));
    let (mut left, mut right) = (one.len(), other.len());
    while left > 0 || right > 0 {
        let cost = costs[left][right];
        if left > 0
            && right > 0
            && one[left - 1] == other[right - 1]
            && cost == costs[left - 1][right - 1]
        {
            (left, right) = (left - 1, right - 1);
            found.agree[left] = true;
            found.right += usize::from(other[right].1.is_none());
        } else if left > 0 && right > 0 && cost == costs[left - 1][right - 1] + 1 {
            (left, right) = (left - 1, right - 1);
            found.pairs.push((said(one.get(left)), said(other.get(right))));
        } else if left > 0 && cost == costs[left - 1][right] + 1 {
            left -= 1;
            found.pairs.push((said(one.get(left)), said(None)));
        } else {
            right -= 1;
            found.pairs.push((said(None), said(other.get(right))));
        }
    }
    found.pairs.reverse();
    found
}
