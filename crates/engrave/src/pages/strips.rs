//! A picture cut into strips that stay whole on a page: a system, with the title over the first.

use super::hands;
use crate::frame::{Block, BlockKind, Picture};
use crate::practice::{BETWEEN_SYSTEMS, STAFF};
use crate::units::{Mm, Sp};

/// A strip of a picture, with all that breaking needs to know.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Strip {
    /// Its blocks; their `y` counts from the top of the strip's ink.
    pub(crate) blocks: Vec<Block>,
    /// From its highest ink to its lowest.
    pub(crate) height: Mm,
    /// The white between it and the next strip of the piece.
    pub(crate) white: Mm,
    /// From the lowest staff line of it to the highest of the next.
    pub(crate) between: Mm,
    /// Whether the editor lets a page begin with it.
    pub(crate) begins_page: bool,
    /// Whether a hand is free at its end, so that a page may be turned.
    pub(crate) ends_free: bool,
    /// Whether a hand is free at its beginning.
    pub(crate) begins_free: bool,
}

/// The highest and the lowest ink of a block, from the top of the picture.
fn reach(block: &Block, space: Mm) -> (Mm, Mm) {
    let (top, bottom) = block.frame.area.map_or((Sp::ZERO, STAFF), |area| (area.top, area.bottom));
    (block.y + Mm(top.0 * space.0), block.y + Mm(bottom.0 * space.0))
}

/// The blocks of each strip: titles stay with the system that follows, notes with the last one.
fn groups(picture: &Picture) -> impl Iterator<Item = &[Block]> {
    picture.blocks.chunk_by(|one, next| one.system().is_none() || next.kind == BlockKind::Notes)
}

/// From the highest to the lowest ink of each strip.
pub(crate) fn heights(picture: &Picture) -> impl Iterator<Item = Mm> {
    groups(picture).map(|blocks| {
        let (top, bottom) = extent(blocks, picture.space);
        bottom - top
    })
}

fn extent(blocks: &[Block], space: Mm) -> (Mm, Mm) {
    let nothing = (Mm(f64::INFINITY), Mm(f64::NEG_INFINITY));
    blocks
        .iter()
        .map(|block| reach(block, space))
        .fold(nothing, |(top, bottom), (above, below)| (top.min(above), bottom.max(below)))
}

/// Cuts a picture into its strips, from the top.
pub(crate) fn strips(picture: Picture) -> Vec<Strip> {
    let (space, page_begins) = (picture.space, picture.page_begins.clone());
    let extents: Vec<(usize, Mm, Mm)> = groups(&picture)
        .map(|blocks| {
            let (top, bottom) = extent(blocks, space);
            (blocks.len(), top, bottom)
        })
        .collect();
    let mut blocks = picture.blocks.into_iter();
    let mut strips: Vec<Strip> = Vec::with_capacity(extents.len());
    let mut lines_end = Mm::ZERO;
    for (place, (count, top, bottom)) in extents.iter().enumerate() {
        let mut of_strip: Vec<Block> = blocks.by_ref().take(*count).collect();
        let Some(system) = of_strip.iter().rfind(|block| block.system().is_some()) else {
            continue;
        };
        let (begins_free, ends_free) = hands::free(&system.frame);
        let begins_page =
            system.system().is_some_and(|number| page_begins.binary_search(&number).is_ok());
        if let Some(before) = strips.last_mut() {
            before.between = system.y - lines_end;
        }
        let lowest = system.frame.staves.last().map_or(STAFF, |staff| staff.bottom);
        lines_end = system.y + Mm(lowest.0 * space.0);
        for block in &mut of_strip {
            block.y -= *top;
        }
        strips.push(Strip {
            blocks: of_strip,
            height: *bottom - *top,
            white: extents.get(place + 1).map_or(Mm::ZERO, |(_, next, _)| *next - *bottom),
            between: Mm(BETWEEN_SYSTEMS.0 * space.0),
            begins_page,
            ends_free,
            begins_free,
        });
    }
    strips
}
