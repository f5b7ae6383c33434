//! The pattern of a subject: an open bar that is filled in a way of its own, and hatched where the
//! subject is inverted.

use crate::frame::{Ink, Item, Role};
use crate::units::{Area, Point, Sp};

/// The outline of an entry, and the lines inside it.
const OUTLINE: Sp = Sp(0.16);
const INSIDE: Sp = Sp(0.11);

/// Between upright lines, and between those that hatch.
const UPRIGHT: Sp = Sp(0.9);
const HATCH: Sp = Sp(0.65);

/// How a bar is filled.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Filling {
    /// Not at all.
    Open,
    /// Level lines, so many.
    Level(u8),
    /// Upright lines.
    Upright,
    /// Short upright lines along both edges.
    Teeth,
    /// Level and upright lines.
    Grid,
}

/// The fillings of the subjects, one after another. Of more subjects, the names tell which it is.
const FILLINGS: [Filling; 6] = [
    Filling::Open,
    Filling::Level(1),
    Filling::Upright,
    Filling::Level(2),
    Filling::Teeth,
    Filling::Grid,
];

/// Draws an entry of a subject, by its place among them, in an area. What goes on in another system has
/// no line at that end.
pub(super) fn draw(
    subject: usize,
    inverted: bool,
    area: Area,
    (begins, ends): (bool, bool),
    items: &mut Vec<Item>,
) {
    let half = OUTLINE / 2.0;
    let Area { left, top, right, bottom } = area.grown(-half, -half);
    let mut line = |from: (Sp, Sp), to: (Sp, Sp), thickness: Sp| {
        let (from, to) = (Point::new(from.0, from.1), Point::new(to.0, to.1));
        let ink = Ink::Line { from, to, thickness };
        items.push(Item { role: Role::PlanEntry, of: None, ink });
    };
    for y in [top, bottom] {
        line((area.left, y), (area.right, y), OUTLINE);
    }
    for (x, there) in [(left, begins), (right, ends)] {
        if there {
            line((x, area.top), (x, area.bottom), OUTLINE);
        }
    }
    let (width, height) = (right - left, bottom - top);
    if width <= Sp::ZERO || height <= Sp::ZERO {
        return;
    }
    let mut level = |count: u8| {
        for number in 1..=count {
            let y = top + height * (f64::from(number) / f64::from(count + 1));
            line((left, y), (right, y), INSIDE);
        }
    };
    let filling = FILLINGS[subject % FILLINGS.len()];
    match filling {
        Filling::Level(count) => level(count),
        Filling::Grid => level(1),
        Filling::Open | Filling::Upright | Filling::Teeth => {}
    }
    let count = (width / UPRIGHT).floor().max(1.0) as u32;
    let places = (1..count).map(|number| left + width * (f64::from(number) / f64::from(count)));
    match filling {
        Filling::Upright | Filling::Grid => {
            places.for_each(|x| line((x, top), (x, bottom), INSIDE));
        }
        Filling::Teeth => places.for_each(|x| {
            line((x, top), (x, top + height * 0.3), INSIDE);
            line((x, bottom - height * 0.3), (x, bottom), INSIDE);
        }),
        Filling::Open | Filling::Level(_) => {}
    }
    if inverted {
        hatch(Area { left, top, right, bottom }, &mut line);
    }
}

/// Slanted lines through an area, rising to the right.
fn hatch(area: Area, line: &mut impl FnMut((Sp, Sp), (Sp, Sp), Sp)) {
    let height = area.height();
    let mut foot = area.left - height + HATCH;
    while foot < area.right {
        // From the lower edge up to the upper one, cut at both sides.
        let (from, to) = (foot.max(area.left), (foot + height).min(area.right));
        if to > from {
            line((from, area.bottom - (from - foot)), (to, area.bottom - (to - foot)), INSIDE);
        }
        foot += HATCH;
    }
}
