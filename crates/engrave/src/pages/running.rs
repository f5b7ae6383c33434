//! What stands at the head of a page: its number, and the title of a piece that goes on.

use crate::fonts::Face;
use crate::frame::{Block, BlockKind, Frame, Ink, Item, Role};
use crate::glyphs::Signs;
use crate::lettering::{CAPITAL_HEIGHT, Letterer, Lettering};
use crate::units::{Area, Mm, Point, Sp};

/// The room that it takes, with the white below it.
pub(crate) const HEAD: Sp = Sp(5.0);

/// The size of its letters.
const SIZE: Sp = Sp(2.2);

/// The number stands at the outer edge, on the right of an odd page (common practice); the title in
/// the middle.
pub(crate) fn head(
    number: usize,
    title: Option<&str>,
    (margin, width, space): (Mm, Mm, Mm),
    letterer: &Letterer,
    signs: &Signs,
) -> Block {
    let width = Sp((width - margin * 2.0) / space);
    let baseline = SIZE * CAPITAL_HEIGHT;
    let mut items = Vec::new();
    let mut put = |letters: Lettering, x| {
        let at = Point::new(x, baseline);
        items.push(Item {
            role: Role::PageHead,
            of: None,
            ink: Ink::Letters { letters: letters.into(), at },
        });
    };
    let number_letters = letterer.set(&number.to_string(), Face::Roman, SIZE);
    let taken = number_letters.width + SIZE;
    let at = if number % 2 == 1 { width - number_letters.width } else { Sp::ZERO };
    put(number_letters, at);
    if let Some(title) = title {
        let room = width - taken * 2.0;
        let set = letterer.set(title, Face::Italic, SIZE);
        let letters = if set.width > room {
            letterer.set(title, Face::Italic, SIZE * (room / set.width))
        } else {
            set
        };
        let x = (width - letters.width) / 2.0;
        put(letters, x);
    }
    let area = items.iter().filter_map(|item| item.area(signs)).reduce(Area::and);
    let frame = Frame { items, area, ..Frame::default() };
    Block { x: margin, y: margin, kind: BlockKind::Running, frame }
}
