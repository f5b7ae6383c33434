//! Pictures of whole pieces, in all ways in which they can be laid out, and as pixels.

use engrave::{Look, Picture, engrave};
use resvg::tiny_skia::{Color, Pixmap, Transform};
use resvg::usvg;
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

/// A picture in pixels: how black each is, row by row.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Raster {
    /// Pixels in a row.
    pub width: u32,
    /// Rows.
    pub height: u32,
    /// From 0, white, to 255, black.
    pub black: Vec<u8>,
}

/// An SVG file as resvg draws it, so many pixels to a millimetre.
///
/// # Panics
/// If it cannot be drawn.
pub fn rendered(svg: &str, pixels_per_mm: f32) -> Raster {
    let tree = usvg::Tree::from_str(svg, &usvg::Options::default()).expect("the SVG is valid");
    // usvg counts 96 pixels to an inch.
    let scale = pixels_per_mm * 25.4 / 96.0;
    let size = tree.size();
    let (width, height) = (size.width() * scale, size.height() * scale);
    let mut pixels =
        Pixmap::new(width.ceil() as u32, height.ceil() as u32).expect("the picture has a size");
    pixels.fill(Color::WHITE);
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut pixels.as_mut());
    Raster {
        width: pixels.width(),
        height: pixels.height(),
        black: pixels.pixels().iter().map(|pixel| 255 - pixel.green()).collect(),
    }
}
