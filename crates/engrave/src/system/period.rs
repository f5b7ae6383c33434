//! Signs of mensuration and proportion, small above the staff.

use rudiments::{Circle, Sign as Mensuration};

use crate::fonts::Face;
use crate::frame::{Ink, Item, Role};
use crate::glyphs::{Sign, Signs};
use crate::lettering::{CAPITAL_HEIGHT, Letterer};
use crate::practice::STAFF_LINE;
use crate::units::{Point, Sp};

/// Where the middle of its circle lies, seen from the baseline.
pub(crate) const MIDDLE: Sp = Sp(-0.77);

/// The items of a sign around an origin at its left, on the baseline; and its width.
pub(crate) fn items(
    sign: Mensuration,
    role: Role,
    signs: &Signs,
    letterer: &Letterer,
) -> (Vec<Item>, Sp) {
    let mut items = Vec::new();
    let mut x = Sp::ZERO;
    let middle = MIDDLE;
    if let Some(circle) = sign.circle {
        let shape = match (circle, sign.dot) {
            (Circle::Full, false) => Sign::Circle,
            (Circle::Full, true) => Sign::CircleDot,
            (Circle::Half, false) => Sign::HalfCircle,
            (Circle::Half, true) => Sign::HalfCircleDot,
            (Circle::Reversed, _) => Sign::ReversedCircle,
        };
        let at = Point::new(x, middle);
        items.push(Item {
            role,
            of: None,
            ink: Ink::Sign { sign: shape, at, scale: 1.0, flipped: false },
        });
        let width = signs.width(shape);
        if sign.stroke {
            let stroke = x + width / 2.0;
            items.push(Item {
                role,
                of: None,
                ink: Ink::Line {
                    from: Point::new(stroke, middle - Sp(1.15)),
                    to: Point::new(stroke, middle + Sp(1.15)),
                    thickness: STAFF_LINE * 1.4,
                },
            });
        }
        x += width + Sp(0.25);
    }
    let mut widest = Sp::ZERO;
    let figures = [(sign.upper, sign.lower.is_some(), true), (sign.lower, true, false)];
    for (figure, stacked, upper) in figures {
        let Some(figure) = figure else { continue };
        let height = if stacked { Sp(1.25) } else { Sp(1.5) };
        let letters = letterer.set(&figure.to_string(), Face::Roman, height / CAPITAL_HEIGHT);
        let y = match (stacked, upper) {
            (false, _) => Sp::ZERO,
            (true, true) => middle - Sp(0.1),
            (true, false) => middle + Sp(1.35),
        };
        widest = widest.max(letters.width);
        let at = Point::new(x, y);
        items.push(Item { role, of: None, ink: Ink::Letters { letters: letters.into(), at } });
    }
    (items, x + widest)
}
