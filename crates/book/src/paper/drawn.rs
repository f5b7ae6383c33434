//! The drawings of all examples, made once however often the text is set.

use cartella::Mm;
use engrave::{BlockKind, Frame};

use super::sheet::Sheet;
use crate::text::{Figure, Width};
use crate::whole::Book;

/// Between two examples beside one another.
pub(super) const BETWEEN: Mm = Mm(8.0);

/// A drawn example.
pub(super) struct Drawn {
    /// Its systems, each with its place in it. Nothing where it cannot be laid out.
    pub(super) systems: Vec<(Mm, Mm, BlockKind, Frame)>,
    /// Its critical notes, with their letters.
    pub(super) critical: Vec<(String, String)>,
    pub(super) width: Mm,
}

/// Draws all examples of a book, as wide as they stand.
pub(super) fn drawn(book: &Book, sheet: &Sheet) -> Vec<Drawn> {
    let figures = book.manuscript.figures.iter().enumerate();
    figures.map(|(place, figure)| draw(book, place, figure, sheet)).collect()
}

fn draw(book: &Book, place: usize, figure: &Figure, sheet: &Sheet) -> Drawn {
    let measure = sheet.measure();
    let width = match figure.options.width {
        Width::Full => measure,
        Width::Half => (measure - BETWEEN) / 2.0,
    };
    let Ok(shown) = book.shown(place) else {
        return Drawn { systems: Vec::new(), critical: Vec::new(), width };
    };
    // The engraver draws nothing narrower than this; it is then made smaller as a whole.
    let drawn = width.max(cartella::Look::WIDTH_RANGE[0]);
    let picture = shown.picture(drawn, figure.options.staff);
    let smaller = width / picture.width.max(width);
    let by = picture.space.0 * smaller;
    let systems = picture
        .blocks
        .into_iter()
        .map(|block| (block.x * smaller, block.y * smaller, block.kind, block.frame.scaled(by)));
    let critical = shown.critical.into_iter().map(|note| (note.letter, note.text)).collect();
    Drawn { systems: systems.collect(), critical, width }
}

/// The top and the bottom of a system, from the top of its example.
pub(super) fn extent((_, y, _, frame): &(Mm, Mm, BlockKind, Frame)) -> (Mm, Mm) {
    let (top, bottom) = frame.area.map_or((0.0, 0.0), |area| (area.top.0, area.bottom.0));
    (*y + Mm(top), *y + Mm(bottom))
}
