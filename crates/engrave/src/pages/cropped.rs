//! A picture no larger than its music, for other people's documents.

use super::{Book, Entry};
use crate::frame::Picture;
use crate::glyphs::Signs;
use crate::units::{Area, Mm};

/// The picture cropped to its ink, with so much white around it.
#[must_use]
pub fn cropped(mut picture: Picture, margin: Mm) -> Picture {
    let space = picture.space;
    let mm = |length: crate::units::Sp| Mm(length.0 * space.0);
    let signs = Signs::all();
    let (mut left, mut top) = (Mm(f64::INFINITY), Mm(f64::INFINITY));
    let (mut right, mut bottom) = (Mm(f64::NEG_INFINITY), Mm(f64::NEG_INFINITY));
    for block in &picture.blocks {
        let areas = block.frame.items.iter().filter_map(|item| item.area(signs));
        let Some(area) = areas.reduce(Area::and) else { continue };
        left = left.min(block.x + mm(area.left));
        top = top.min(block.y + mm(area.top));
        right = right.max(block.x + mm(area.right));
        bottom = bottom.max(block.y + mm(area.bottom));
    }
    if left > right {
        return picture;
    }
    for block in &mut picture.blocks {
        block.x += margin - left;
        block.y += margin - top;
    }
    picture.width = right - left + margin * 2.0;
    picture.height = bottom - top + margin * 2.0;
    picture.margin = margin;
    picture
}

impl Book {
    /// Pictures as they are, each a page of its own.
    pub fn of_pictures(pages: Vec<Picture>) -> Book {
        let entry = |(place, picture): (usize, &Picture)| Entry {
            title: picture.title.clone(),
            composer: picture.composer.clone(),
            source: picture.source.clone(),
            page: place + 1,
            y: picture.margin,
        };
        let contents = pages.iter().enumerate().map(entry).collect();
        Book { pages, contents, ..Book::default() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{TWO_VOICES, picture};
    use crate::{audit, staves};

    #[test]
    fn nothing_is_white_around_the_music() {
        let whole = picture(TWO_VOICES);
        let (systems, width) = (staves(&whole).len(), whole.width);
        let small = cropped(whole, Mm(1.0));
        assert_eq!(audit(&small), []);
        assert_eq!(staves(&small).len(), systems);
        assert!(small.width < width - Mm(20.0), "{:?}", small.width);
        let space = small.space;
        let signs = Signs::all();
        let areas = small.blocks.iter().flat_map(|block| {
            let (x, y) = (block.x / space, block.y / space);
            let moved = move |area: Area| area.moved(crate::units::Sp(x), crate::units::Sp(y));
            block.frame.items.iter().filter_map(|item| item.area(signs)).map(moved)
        });
        let ink = areas.reduce(Area::and).unwrap();
        let near = |one: f64, other: f64| (one - other).abs() < 1e-6;
        assert!(near(ink.left.0 * space.0, 1.0) && near(ink.top.0 * space.0, 1.0));
        assert!(near(small.width.0 - ink.right.0 * space.0, 1.0));
        assert!(near(small.height.0 - ink.bottom.0 * space.0, 1.0));
    }

    #[test]
    fn pictures_of_a_book_are_its_pages() {
        let book = Book::of_pictures(vec![picture(TWO_VOICES), picture(TWO_VOICES)]);
        let pages: Vec<usize> = book.contents.iter().map(|entry| entry.page).collect();
        assert_eq!((book.pages.len(), pages), (2, vec![1, 2]));
    }
}
