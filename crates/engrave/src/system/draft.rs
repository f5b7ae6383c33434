//! A staff of a system while it is being filled.

use crate::frame::{Ink, Item, Origin, Role};
use crate::glyphs::{Sign, Signs};
use crate::outline::Outline;
use crate::practice::{OUTSIDE_GAP, STAFF};
use crate::skyline::Skyline;
use crate::units::{Area, Point, Sp};

/// What stands on a staff; all `y` count from its highest line downwards.
pub(crate) struct StaffDraft<'s> {
    pub(crate) signs: &'s Signs,
    pub(crate) items: Vec<Item>,
    right: Sp,
    /// How far things reach above the highest line.
    pub(crate) above: Skyline,
    /// How far things reach below the highest line.
    pub(crate) below: Skyline,
}

/// On which side of the staff something stands.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub(crate) enum Side {
    Above,
    Below,
}

impl<'s> StaffDraft<'s> {
    /// An empty staff from its left end to its right.
    pub(crate) fn new(signs: &'s Signs, left: Sp, right: Sp) -> StaffDraft<'s> {
        StaffDraft {
            signs,
            items: Vec::new(),
            right: right - Sp(1.0),
            above: Skyline::flat(left, right, Sp::ZERO),
            below: Skyline::flat(left, right, STAFF),
        }
    }

    /// Where the staff ends.
    pub(crate) fn right(&self) -> Sp {
        self.right
    }

    /// Draws an item, and remembers how far it reaches.
    pub(crate) fn put(&mut self, item: Item) {
        if let Some(area) = item.area(self.signs) {
            self.above.raise(area.left, area.right, -area.top);
            self.below.raise(area.left, area.right, area.bottom);
        }
        self.items.push(item);
    }

    /// Draws a sign.
    pub(crate) fn sign(&mut self, role: Role, of: Option<Origin>, sign: Sign, x: Sp, y: Sp) {
        self.scaled(role, of, sign, Point::new(x, y), 1.0);
    }

    /// Draws a sign at another size.
    pub(crate) fn scaled(
        &mut self,
        role: Role,
        of: Option<Origin>,
        sign: Sign,
        at: Point,
        scale: f64,
    ) {
        self.put(Item { role, of, ink: Ink::Sign { sign, at, scale, flipped: false } });
    }

    /// Draws a straight line.
    pub(crate) fn line(
        &mut self,
        role: Role,
        of: Option<Origin>,
        from: Point,
        to: Point,
        thickness: Sp,
    ) {
        self.put(Item { role, of, ink: Ink::Line { from, to, thickness } });
    }

    /// Draws a shape.
    pub(crate) fn shape(&mut self, role: Role, of: Option<Origin>, outline: Outline) {
        self.put(Item { role, of, ink: Ink::Shape(outline) });
    }

    /// How far to move something that is drawn around its own origin, between `left` and `right`
    /// and reaching from `area.top` to `area.bottom`, so that it stands outside of all that is
    /// there, as near as it may.
    pub(crate) fn outside(&self, side: Side, area: Area) -> Sp {
        let margin = Sp(0.15);
        let (from, to) = (area.left - margin, area.right + margin);
        match side {
            Side::Above => -self.above.reach(from, to) - OUTSIDE_GAP - area.bottom,
            Side::Below => self.below.reach(from, to) + OUTSIDE_GAP - area.top,
        }
    }
}
