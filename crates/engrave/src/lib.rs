//! The keyboard score as a picture: frames of placed signs, lines, curves and words, and SVG, PNG and
//! PDF of them.
//!
//! [`engrave()`] draws a [`score::Arrangement`]; [`pages()`] divides pictures into pages, which are
//! pictures again; [`svg()`], [`png()`] and [`pdf()`] write them, [`audit()`] looks them over. The arrangement has
//! decided everything but distances and looks: hands, ties, beams, stems, signs. Nothing here
//! reads or writes a file.
//!
//! ```
//! use engrave::{Look, Paper, engrave, engrave_on, pages, pdf, svg};
//! use score::{BarLength, Options, align, arrange, reckon};
//!
//! let piece = notation::parse("voice Cantus clef C1\n  sb A4 br B lg C5 //\n").piece;
//! let score = align(&piece, reckon(&piece), BarLength::Breve).score;
//! let arrangement = arrange(&score, Options::default());
//!
//! let picture = engrave(&arrangement, &Look::default());
//! assert!(svg(&picture, &|span| span.start).starts_with("<svg"));
//! assert_eq!(engrave::audit(&picture), []); // nothing overlaps
//!
//! let book = pages(vec![engrave_on(&arrangement, &Look::default(), &Paper::A4)], &Paper::A4);
//! assert!(pdf(&book, Some("A book"))?.starts_with(b"%PDF"));
//! # Ok::<(), engrave::Error>(())
//! ```

#![allow(clippy::cast_precision_loss)] // Lengths of a page are far from the limits of `f64`.

mod apart;
mod audit;
mod breaking;
mod column;
mod diplomatic;
mod drawn;
mod engraving;
mod error;
mod fonts;
mod frame;
mod glyphs;
mod hairline;
mod incipit;
mod lettering;
mod look;
mod outline;
mod pages;
mod pdf;
mod places;
mod plan;
mod png;
mod practice;
mod sheet;
mod skyline;
mod spacing;
mod strip;
mod strokes;
mod svg;
mod system;
#[cfg(test)]
mod testing;
mod title;
mod units;
mod voice_names;

pub use apart::apart;
pub use audit::{Finding, FindingKind, Measure, audit, measures};
pub use diplomatic::{Copy, CopyClefs, TypeStyle, copy, copy_line, copy_on, unaccounted};
pub use engraving::engrave;
pub use error::Error;
pub use fonts::Face;
pub use frame::{Block, BlockKind, Frame, Ink, Item, Origin, Picture, Role, StaffPlace};
pub use glyphs::{Sign, Signs};
pub use lettering::{CAPITAL_HEIGHT, DESCENT, Letter, Letterer, Lettering};
pub use look::{BarLines, Breaks, Fit, Look};
pub use outline::{Outline, Stroke};
pub use pages::{
    Book, Entry, Link, LinkTarget, Paper, SMALLEST_ON_ONE_PAGE, cropped, engrave_on, pages,
};
pub use pdf::pdf;
pub use places::{HeadPlace, StaffOnPage, heads, staves, systems};
pub use plan::plan;
pub use png::{Ground, png};
pub use sheet::sheet;
pub use strip::Strip;
pub use svg::{live_svg, svg};
pub use units::{Area, Mm, Point, Sp};
