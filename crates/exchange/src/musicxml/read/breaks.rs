//! Where systems and pages begin: times in the file, bars in a parts file.

use std::collections::BTreeMap;

use notation::{Break, Piece, Span};
use roxmltree::Node;
use rudiments::Time;
use score::{BarLength, align, reckon};

use super::grid::Grid;
use super::part::{Moment, Part};
use crate::elements::{child, children};
use crate::reading::Remarks;

/// Where something begins anew, and whether a page does.
pub(super) type Broken = BTreeMap<Time, bool>;

/// What the parts say, if the file has it that its breaks are all there are and meant as such
/// (MusicXML 4.0, `supports`).
pub(super) fn times(score: Node<'_, '_>, parts: &[Part], grid: &Grid) -> Broken {
    let mut broken = Broken::new();
    let encoding = child(score, "identification").and_then(|found| child(found, "encoding"));
    let mut supported = encoding.into_iter().flat_map(|found| children(found, "supports"));
    let is_meant = |supports: Node<'_, '_>| {
        let has = |name: &str, value: &str| supports.attribute(name) == Some(value);
        has("element", "print")
            && has("type", "yes")
            && has("value", "yes")
            && (has("attribute", "new-system") || has("attribute", "new-page"))
    };
    if supported.any(is_meant) {
        for (measure, page) in parts.iter().flat_map(|part| &part.breaks) {
            let at = grid.time(Moment { measure: *measure, within: Time::ZERO });
            *broken.entry(at).or_default() |= *page;
        }
    }
    broken.remove(&Time::ZERO);
    broken
}

/// The breaks by the numbers of the bars of a score of breves, which begin with them.
pub(super) fn of_bars(piece: &Piece, broken: &Broken, remarks: &mut Remarks) -> Vec<Break> {
    if broken.is_empty() {
        return Vec::new();
    }
    let bars = align(piece, reckon(piece), BarLength::Breve).score.bars;
    let mut breaks = Vec::with_capacity(broken.len());
    for (at, page) in broken {
        match bars.binary_search_by_key(at, |bar| bar.start) {
            Ok(place) => {
                let (bar, page) = (bars[place].number, *page);
                breaks.push(Break { bar, page, span: Span::default() });
            }
            Err(_) => remarks.add(0, "systems that begin inside a bar of a breve are not kept"),
        }
    }
    breaks
}
