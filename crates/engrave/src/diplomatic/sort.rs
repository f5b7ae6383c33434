//! A sort: a piece of type, or several that stay together, with the white behind it.

use super::case::Case;
use crate::frame::{Ink, Item, Origin, Role};
use crate::glyphs::Sign;
use crate::lettering::Lettering;
use crate::outline::Outline;
use crate::units::{Area, Point, Sp};

/// Something that stands above a sort, as low as it can.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Over {
    /// Its items, their lowest ink on the origin's level.
    pub(super) items: Vec<Item>,
    pub(super) width: Sp,
    /// Where its left end lies in the sort.
    pub(super) left: Sp,
}

/// A piece of type. Its origin is where its ink begins that belongs to the staff.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct Sort {
    pub(super) items: Vec<Item>,
    /// How far its ink reaches to the left of its origin; not above zero.
    pub(super) left: Sp,
    /// How far it reaches to the right.
    pub(super) right: Sp,
    /// How much of the white of a line it takes behind it.
    pub(super) white: f64,
    /// Whether it stands at the end of a full line, as a direct does.
    pub(super) ends: bool,
    pub(super) over: Vec<Over>,
}

impl Sort {
    pub(super) fn width(&self) -> Sp {
        self.right - self.left
    }

    /// Adds an item, and the room that it takes.
    pub(super) fn add(&mut self, item: Item, case: &Case<'_>) {
        if let Some(area) = item.area(case.signs) {
            self.left = self.left.min(area.left);
            self.right = self.right.max(area.right);
        }
        self.items.push(item);
    }

    pub(super) fn shape(
        &mut self,
        role: Role,
        of: Option<Origin>,
        outline: Outline,
        case: &Case<'_>,
    ) {
        self.add(Item { role, of, ink: Ink::Shape(outline) }, case);
    }

    pub(super) fn sign(
        &mut self,
        role: Role,
        of: Option<Origin>,
        (sign, at, scale): (Sign, Point, f64),
        case: &Case<'_>,
    ) {
        self.add(Item { role, of, ink: Ink::Sign { sign, at, scale, flipped: false } }, case);
    }

    pub(super) fn line(
        &mut self,
        role: Role,
        of: Option<Origin>,
        (from, to, thickness): (Point, Point, Sp),
        case: &Case<'_>,
    ) {
        self.add(Item { role, of, ink: Ink::Line { from, to, thickness } }, case);
    }

    /// Puts a sign above what is between two places of the sort, in its middle.
    pub(super) fn sign_over(
        &mut self,
        role: Role,
        of: Option<Origin>,
        (sign, scale): (Sign, f64),
        middle: Sp,
        case: &Case<'_>,
    ) {
        let area: Area = crate::frame::sign_area(case.signs, sign, scale, false);
        let at = Point::new(Sp::ZERO, -area.bottom);
        let item = Item { role, of, ink: Ink::Sign { sign, at, scale, flipped: false } };
        let width = area.width();
        self.over.push(Over { items: vec![item], width, left: middle - width / 2.0 });
    }

    /// Puts words above it, in the middle of a place or from there on.
    pub(super) fn words_over(
        &mut self,
        role: Role,
        of: Option<Origin>,
        letters: Lettering,
        from: From,
    ) {
        let width = letters.width;
        let left = match from {
            From::Left(left) => left,
            From::Middle(middle) => middle - width / 2.0,
        };
        let drop =
            if letters.descends() { letters.size * crate::lettering::DESCENT } else { Sp::ZERO };
        let ink = Ink::Letters { letters: letters.into(), at: Point::new(Sp::ZERO, -drop) };
        self.over.push(Over { items: vec![Item { role, of, ink }], width, left });
    }
}

/// Where words above a sort stand.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) enum From {
    Left(Sp),
    Middle(Sp),
}
