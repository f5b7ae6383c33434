//! Staves found in pictures of a source, and what stands on them.
//!
//! [`strips`] takes the picture of a page, or of an opening of two pages, and says where its staves stand:
//! a box round each, and whether it is empty. [`pages`] reads pictures from the bytes of a PNG, JPEG or PDF
//! file.
//!
//! What it does: it finds staves of five lines, about four pixels apart or more, in whatever light,
//! turned by up to two degrees or bent as a leaf of a book is. What it does not: it knows nothing of
//! voices.
//!
//! [`Sizes::laid`] lays a staff out straight, and [`read()`] reads the sorts on it: notes by their looks, rests,
//! clefs, accidentals, each at its place, with how likely it is and what else it may be. What they mean, and
//! how long they last, is not decided here. Words are not read; [`words`] says
//! where they stand. [`learn`] has the reader learn a print.

mod area;
mod fives;
mod laid;
mod learning;
mod level;
mod likelihood;
mod network;
mod page;
mod pages;
mod reading;
mod row;
mod sort;
mod staff;
mod straight;
mod strip;
#[cfg(test)]
mod tests;
mod words;

use image::GrayImage;
use level::Level;

pub use area::Area;
pub use image;
pub use laid::{ROWS, SPACE, Sizes};
pub use learning::{Known, Learned, Workers, learn};
pub use network::{Network, Odds};
pub use pages::{Page, Unreadable, page, pages};
pub use reading::Read;
pub use row::{Change, Instead, Row, read};
pub use sort::{Kind, PLACE_COUNT, PLACES, Sort};
pub use strip::Strip;
pub use words::words;

/// The staves of a picture, from the top down; on an opening, those of the left page come first.
pub fn strips(picture: &GrayImage) -> Vec<Strip> {
    let levels = Level::all(picture.clone());
    let Some(found) = fives::fives(&levels) else { return Vec::new() };
    let level = &levels[found.level];
    // What is on a staff is looked at in a finer picture than its lines.
    let fine = &levels[found.level.saturating_sub(1)];
    let staves = page::staves(fine, level, &found);
    staves.iter().map(|staff| strip::strip(fine, level, staff, found.ink)).collect()
}
