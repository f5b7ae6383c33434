//! Whether everything that is printed stands in a copy, once, and in its line.

use std::collections::BTreeMap;

use notation::Piece;
use score::SourceLine;

use crate::audit::{Finding, FindingKind};
use crate::frame::{Picture, Role};

/// The printed notes and rests of these lines that are missing in pictures of their copy, stand there several
/// times, or on the staff of another line.
pub fn unaccounted(piece: &Piece, lines: &[SourceLine], pictures: &[&Picture]) -> Vec<Finding> {
    // Of each voice and number: on which lines it stands, one a head but for those at one place in time.
    let mut there: BTreeMap<(usize, u32), Vec<(usize, usize)>> = BTreeMap::new();
    let blocks = pictures.iter().flat_map(|picture| &picture.blocks);
    for item in blocks.flat_map(|block| &block.frame.items) {
        let Some((of, index)) = item.of.and_then(|of| Some((of, of.index?))) else { continue };
        if matches!(item.role, Role::Head | Role::Rest) {
            there.entry((of.voice, index)).or_default().push((of.bar, of.place));
        }
    }
    let mut findings = Vec::new();
    for line in lines {
        let Some(voice) = piece.voices.get(line.voice) else { continue };
        let printed =
            voice.items[line.items.clone()].iter().filter(|one| one.standing.is_printed());
        for event in printed.filter_map(notation::Item::event) {
            let Some(index) = event.index else { continue };
            let found = there.get(&(line.voice, index)).map_or(&[][..], Vec::as_slice);
            let wanted = event.notes().len().max(1);
            let here = found
                .iter()
                .all(|(bar, place)| *bar + 1 == line.number as usize && *place == found[0].1);
            let kind = match found.len() {
                0 => FindingKind::Missing,
                count if count == wanted && here => continue,
                _ => FindingKind::Displaced,
            };
            findings.push(Finding {
                kind,
                items: vec![if event.is_rest() { Role::Rest } else { Role::Head }],
                voice: Some(line.voice),
                index: Some(index),
                bar: Some(line.number as usize - 1),
                system: None,
            });
        }
    }
    findings
}
