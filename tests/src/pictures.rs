//! Pictures of whole pieces, in all ways in which they can be laid out.

use engrave::{Look, Picture, engrave};
use score::{BarLength, Options, Reduction, Staves, arrange};

use crate::aligned;

/// One way to lay out a piece.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Layout {
    /// How long the bars are.
    pub bar: BarLength,
    /// On what staves it stands.
    pub staves: Staves,
    /// By how much values are reduced.
    pub reduction: Reduction,
}

impl Layout {
    /// How the score is to be arranged.
    pub fn options(self) -> Options {
        Options { staves: self.staves, reduction: self.reduction, ..Options::default() }
    }
}

/// All ways: both bar lengths, both kinds of staves, all reductions.
pub const LAYOUTS: [Layout; 12] = {
    let mut layouts = [Layout {
        bar: BarLength::Breve,
        staves: Staves::Keyboard,
        reduction: Reduction::Original,
    }; 12];
    let reductions = [Reduction::Original, Reduction::Halved, Reduction::Quartered];
    let mut number = 0;
    while number < 12 {
        layouts[number].reduction = reductions[number % 3];
        if number / 3 % 2 == 1 {
            layouts[number].staves = Staves::Open;
        }
        if number >= 6 {
            layouts[number].bar = BarLength::Semibreve;
        }
        number += 1;
    }
    layouts
};

/// The picture of a parts file.
pub fn drawn(text: &str, layout: Layout, look: &Look) -> Picture {
    let (score, _) = aligned(text, layout.bar);
    engrave(&arrange(&score, layout.options()), look)
}

/// An SVG file without its drawings of glyphs and without the metadata, for snapshots that people
/// read.
///
/// # Panics
/// If the file has no definitions.
pub fn without_definitions(svg: &str) -> String {
    let (before, rest) = svg.split_once("<defs>").expect("an SVG file has definitions");
    let (_, after) = rest.split_once("</defs>\n").expect("definitions end");
    format!("{before}{after}")
}
