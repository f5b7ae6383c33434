//! Slats: what a page is built of, from the top; each stays whole.

use cartella::Mm;
use engrave::{BlockKind, Frame, Ink, Item, Sp};

use super::goal::{Goal, Spot};
use super::paragraph::Line;

/// Something that stays whole on a page. Places are from its upper left corner, which lies on the left margin.
#[derive(Clone, Debug)]
pub(super) struct Slat {
    pub(super) height: Mm,
    /// The white over it, if it does not begin a page.
    pub(super) before: Mm,
    /// Whether it stands on one page with the slat after it.
    pub(super) stays: bool,
    /// Whether it begins a page.
    pub(super) begins: bool,
    /// What kind of words it has.
    pub(super) kind: BlockKind,
    pub(super) words: Vec<Item>,
    /// Slats whose words have this number in common are one paragraph.
    pub(super) paragraph: usize,
    /// Drawings, with their places; in millimetres, since a space of a page of a book is one.
    pub(super) frames: Vec<(Mm, Mm, BlockKind, Frame)>,
    pub(super) spots: Vec<Spot>,
    /// Places to which others lead, and how far down they are.
    pub(super) goals: Vec<(Goal, Mm)>,
    /// Footnotes that stand at the foot of its page.
    pub(super) calls: Vec<usize>,
}

impl Slat {
    pub(super) fn new(height: Mm, before: Mm) -> Slat {
        Slat {
            height,
            before,
            stays: false,
            begins: false,
            kind: BlockKind::Text,
            words: Vec::new(),
            paragraph: 0,
            frames: Vec::new(),
            spots: Vec::new(),
            goals: Vec::new(),
            calls: Vec::new(),
        }
    }

    /// Puts a line into it, whose baseline is so far down and whose room begins there.
    pub(super) fn put(&mut self, line: Line, left: Mm, baseline: Mm) {
        let call = |note: &usize| (Goal::Call(*note), baseline - Mm(4.0));
        self.goals.extend(line.calls.iter().map(call));
        self.calls.extend(line.calls);
        self.spots.extend(line.spots.into_iter().map(|spot| spot.moved(left, baseline)));
        self.words.extend(line.items.into_iter().map(|item| moved(item, left, baseline)));
    }
}

/// Words moved to the right and down.
pub(super) fn moved(mut item: Item, x: Mm, y: Mm) -> Item {
    match &mut item.ink {
        Ink::Letters { at, .. } => *at = at.moved(Sp(x.0), Sp(y.0)),
        Ink::Line { from, to, .. } => {
            *from = from.moved(Sp(x.0), Sp(y.0));
            *to = to.moved(Sp(x.0), Sp(y.0));
        }
        _ => {}
    }
    item
}
