//! The title of a piece, with its source and its editor.

use score::Heading;

use crate::fonts::Face;
use crate::frame::{Frame, Ink, Item, Role};
use crate::glyphs::Signs;
use crate::lettering::Letterer;
use crate::units::{Area, Point, Sp};

/// The title block across the whole width; nothing where the piece has no heading.
pub(crate) fn frame(
    heading: &Heading,
    width: Sp,
    letterer: &Letterer,
    signs: &Signs,
) -> Option<Frame> {
    let mut items = Vec::new();
    let mut y = Sp::ZERO;
    let mut line = |text: &str, face: Face, size: Sp, at_right: bool, y: Sp| {
        let set = letterer.set(text, face, size);
        // A line that is too long is set smaller.
        let letters = if set.width > width {
            letterer.set(text, face, size * (width / set.width))
        } else {
            set
        };
        let x = if at_right { width - letters.width } else { (width - letters.width) / 2.0 };
        let at = Point::new(x.max(Sp::ZERO), y);
        items.push(Item { role: Role::Title, of: None, ink: Ink::Letters { letters, at } });
    };
    if let Some(title) = &heading.title {
        y += Sp(2.6);
        line(title, Face::Roman, Sp(4.0), false, y);
        y += Sp(1.0);
    }
    if let Some(source) = &heading.source {
        y += Sp(2.0);
        line(source, Face::Italic, Sp(2.4), false, y);
        y += Sp(0.7);
    }
    if let Some(editor) = &heading.editor {
        y += Sp(1.9);
        line(editor, Face::Roman, Sp(2.1), true, y);
        y += Sp(0.5);
    }
    let area = items.iter().filter_map(|item| item.area(signs)).reduce(Area::and)?;
    let area = Area { top: Sp::ZERO, bottom: y, ..area };
    Some(Frame { items, staves: Vec::new(), area: Some(area) })
}
