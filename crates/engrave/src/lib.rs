//! The keyboard score as a picture: frames of placed signs, lines, curves and words, and SVG, PNG and
//! PDF of them.
//!
//! [`engrave()`] draws a [`score::Arrangement`]; [`pages()`] divides pictures into pages, which are
//! pictures again; [`svg()`], [`png()`] and [`pdf()`] write them, [`audit()`] looks them over. The arrangement has
//! decided everything but distances and looks: hands, ties, beams, stems, signs. Nothing here
//! reads or writes a file.

#![allow(clippy::cast_precision_loss)] // Lengths of a page are far from the limits of `f64`.

mod audit;
mod breaking;
mod column;
mod drawn;
mod engraving;
mod fonts;
mod frame;
mod glyphs;
mod hairline;
mod lettering;
mod look;
mod outline;
mod pages;
mod pdf;
mod places;
mod png;
mod practice;
mod skyline;
mod spacing;
mod strokes;
mod svg;
mod system;
#[cfg(test)]
mod testing;
mod title;
mod units;

pub use audit::{Finding, FindingKind, audit};
pub use engraving::engrave;
pub use fonts::Face;
pub use frame::{Block, BlockKind, Frame, Ink, Item, Origin, Picture, Role, StaffPlace};
pub use glyphs::{Sign, Signs};
pub use lettering::{Letter, Lettering};
pub use look::{BarLines, Breaks, Look};
pub use outline::{Outline, Stroke};
pub use pages::{Book, Entry, Paper, engrave_on, pages};
pub use pdf::pdf;
pub use places::{HeadPlace, StaffOnPage, heads, staves};
pub use png::{PngError, png};
pub use svg::svg;
pub use units::{Area, Mm, Point, Sp};
