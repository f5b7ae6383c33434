//! The sorts of a music type: the drawings of heads, flags, rests, clefs and directs, each around its place.

use rudiments::{ClefShape, Value};

use super::TypeStyle;
use crate::drawn::rectangle;
use crate::outline::Outline;
#[cfg(test)]
use crate::outline::Stroke;
use crate::strokes::{self, Pen};
use crate::units::{Point, Sp};

fn at(x: f64, y: f64) -> Point {
    Point::new(Sp(x), Sp(y))
}

/// A closed polygon that goes round the other way: it is left white in another.
fn add_hole(outline: &mut Outline, corners: impl DoubleEndedIterator<Item = (f64, f64)>) {
    outline.add_polygon(corners.rev());
}

/// The outline of a line along points.
fn drawn(points: &[(f64, f64)], thickness: f64) -> Outline {
    let points: Vec<Point> = points.iter().map(|(x, y)| at(*x, *y)).collect();
    strokes::along(&points, Pen::plain(Sp(thickness)), |_| true)
}

/// Two drawings as one.
fn with(mut one: Outline, other: Outline) -> Outline {
    one.strokes.extend(other.strokes);
    one
}

/// A diamond, its left corner on the origin.
pub(super) fn diamond(style: &TypeStyle, black: bool) -> Outline {
    let (width, height) = (style.head_width.0 / 2.0, style.head_height.0 / 2.0);
    let corners = |u: f64, v: f64| {
        // The sides that fall are `u` from the middle, those that rise `v`; 1 is the edge.
        let corner = move |u: f64, v: f64| (width + width * (u + v) / 2.0, height * (v - u) / 2.0);
        [corner(u, -v), corner(u, v), corner(-u, v), corner(-u, -v)]
    };
    let mut outline = Outline::polygon(corners(1.0, 1.0));
    if !black {
        let unit = (1.0 / width).hypot(1.0 / height);
        let hole = corners(1.0 - style.thick.0 * unit, 1.0 - style.thin.0 * unit);
        add_hole(&mut outline, hole.into_iter());
    }
    outline
}

/// A square of that width, its left side on the origin, with upright sides that reach beyond it.
pub(super) fn square(style: &TypeStyle, width: f64, black: bool) -> Outline {
    let half = style.square_height.0 / 2.0;
    let (side, ear) = (style.square_side.0, style.ear.0);
    let mut outline = Outline::polygon(rectangle(0.0, -half - ear, side, half + ear));
    outline.add_polygon(rectangle(width - side, -half - ear, width, half + ear));
    let thick = if black { half } else { style.square_thick.0 };
    outline.add_polygon(rectangle(side, -half, width - side, thick - half));
    outline.add_polygon(rectangle(side, half - thick, width - side, half));
    outline
}

/// Half of an oblique body that falls so far from its left end to its right one, seen from that end: the left
/// half begins on the origin, the right half ends there.
pub(super) fn oblique(style: &TypeStyle, falls: f64, left: bool, black: bool) -> Outline {
    let (width, half) = (style.oblique_width.0 / 2.0, style.square_height.0 / 2.0);
    let (side, ear) = (style.square_side.0, style.ear.0);
    let (from, to, end) = if left { (0.0, width, 0.0) } else { (-width, 0.0, -side) };
    let y = |x: f64| falls * x / (2.0 * width);
    let band = |top: f64, bottom: f64| {
        [(from, y(from) + top), (to, y(to) + top), (to, y(to) + bottom), (from, y(from) + bottom)]
    };
    let thick = if black { half } else { style.square_thick.0 };
    let mut outline = Outline::polygon(band(-half, thick - half));
    outline.add_polygon(band(half - thick, half));
    let middle = y(end + side / 2.0);
    outline.add_polygon(rectangle(end, middle - half - ear, end + side, middle + half + ear));
    outline
}

/// A flag of a stem that ends on the origin: open, to the right and down of an upward stem; turned round for
/// a downward one.
pub(super) fn flag(style: &TypeStyle, up: bool) -> Outline {
    let (width, height, half) = (style.flag_width.0, style.flag_height.0, style.stem.0 / 2.0);
    let turn = |(x, y): (f64, f64)| if up { (x, y) } else { (-x, -y) };
    let outer = [(-half, 0.0), (width, height * 0.55), (half, height), (half, height * 0.8)];
    let inner = [(half, height * 0.2), (width * 0.68, height * 0.55), (half, height * 0.8)];
    let mut outline = Outline::polygon(outer.map(turn));
    add_hole(&mut outline, inner.map(turn).into_iter());
    outline
}

/// A rest of a value, centred across on the origin's upright; up and down it lies on its own place in the
/// staff, counted from the highest line. A longa may be over two spaces or three.
pub(super) fn rest(style: &TypeStyle, value: Value, spaces: u8) -> Outline {
    let half = style.rest_width.0 / 2.0;
    let stroke = |x: f64, top: f64, bottom: f64| {
        Outline::polygon(rectangle(x - half, top, x + half, bottom))
    };
    // A short stroke with hooks, each a level stroke with a drop at its end.
    let hooked = |hooks: &[f64]| {
        let mut outline = stroke(0.0, 1.2, 2.25);
        for (number, side) in hooks.iter().enumerate() {
            let y = 1.2 + 0.5 * number as f64;
            let (near, far) = (half * 0.5 * side, (half + 0.5) * side);
            let (left, right) = (near.min(far), near.max(far));
            outline.add_polygon(rectangle(left, y, right, y + 0.16));
            let (near, far) = ((half + 0.24) * side, (half + 0.5) * side);
            outline.add_polygon(rectangle(near.min(far), y, near.max(far), y + 0.34));
        }
        outline
    };
    let bottom = 1.0 + f64::from(spaces);
    match value {
        Value::Maxima => {
            with(stroke(-1.5 * half - 0.15, 1.0, bottom), stroke(1.5 * half + 0.15, 1.0, bottom))
        }
        Value::Longa => stroke(0.0, 1.0, bottom),
        Value::Breve => stroke(0.0, 1.0, 2.0),
        // From a line down; and standing on one.
        Value::Semibreve => stroke(0.0, 2.0, 2.65),
        Value::Minim => stroke(0.0, 1.35, 2.0),
        Value::Semiminim => hooked(&[1.0]),
        Value::Fusa => hooked(&[-1.0]),
        Value::Semifusa => hooked(&[-1.0, -1.0]),
    }
}

/// A clef of that shape, its left side and its line on the origin; nothing for the G clef, which is one of the
/// music face.
pub(super) fn clef(style: &TypeStyle, shape: ClefShape) -> Option<Outline> {
    let (reach, width) = (style.clef_reach.0, style.clef_width.0);
    let (thick, side) = (style.square_thick.0, style.square_side.0);
    let boxed = |top: f64, bottom: f64, right: f64| {
        let mut outline = Outline::polygon(rectangle(0.0, top, right, top + thick));
        outline.add_polygon(rectangle(0.0, bottom - thick, right, bottom));
        outline.add_polygon(rectangle(right - side, top, right, bottom));
        outline
    };
    let upright = Outline::polygon(rectangle(0.0, -reach, side * 1.6, reach));
    match shape {
        ClefShape::G => None,
        // A ladder: a box above the line and one below.
        ClefShape::C => Some(with(
            with(upright, boxed(-reach * 0.72, -reach * 0.12, width)),
            boxed(reach * 0.12, reach * 0.72, width),
        )),
        // A breve with an upright, and a pair of diamonds, one on each side of the line.
        ClefShape::F => {
            let mut outline = with(upright, boxed(-0.5, 0.5, width * 0.7));
            let (left, half) = (width * 0.7 + 0.35, 0.34);
            for middle in [-0.55, 0.55] {
                outline.add_polygon([
                    (left, middle),
                    (left + half, middle - 0.45),
                    (left + 2.0 * half, middle),
                    (left + half, middle + 0.45),
                ]);
            }
            Some(outline)
        }
    }
}

/// A direct, its left side and its place on the origin: a zigzag with a tail.
pub(super) fn direct(style: &TypeStyle) -> Outline {
    let half = style.head_height.0 * 0.24;
    let way = [(0.0, half), (0.32, -half), (0.64, half), (0.96, -half)];
    with(drawn(&way, style.thin.0 * 1.7), drawn(&[(0.96, -half), (1.75, -1.5)], style.thin.0))
}

/// A sharp as prints have it, lying on its corner; its left side on the origin.
pub(super) fn sharp(style: &TypeStyle) -> Outline {
    let (reach, apart) = (0.62, 0.17);
    let line = |(from_x, from_y): (f64, f64), (to_x, to_y): (f64, f64)| {
        drawn(&[(reach + from_x, from_y), (reach + to_x, to_y)], style.thin.0)
    };
    let (low, high) = (reach - apart, reach - apart);
    [-apart, apart].into_iter().fold(Outline::default(), |outline, off| {
        let falls = line((-low + off, -high - off), (low + off, high - off));
        let rises = line((-low + off, high + off), (low + off, -high + off));
        with(with(outline, falls), rises)
    })
}

/// The arm of an oblique or square body that leads to the one before it: an upright of a body's side.
pub(super) fn join(style: &TypeStyle, from: f64, to: f64) -> Outline {
    Outline::polygon(rectangle(0.0, from.min(to), style.square_side.0, from.max(to)))
}

/// Whether a drawing has a part that is left white: a ring within another that goes the other way round.
#[cfg(test)]
pub(super) fn is_hollow(outline: &Outline) -> bool {
    let area = |part: &[Stroke]| {
        let ring = Outline { strokes: part.to_vec() }.points(0);
        let next = ring.iter().cycle().skip(1);
        ring.iter()
            .zip(next)
            .map(|(one, two)| (one.x.0 * two.y.0) - (two.x.0 * one.y.0))
            .sum::<f64>()
    };
    outline
        .strokes
        .split(|one| *one == Stroke::Close)
        .filter(|part| !part.is_empty())
        .any(|part| area(part) < 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn white_notes_are_hollow_and_black_ones_are_not() {
        let style = TypeStyle::default();
        assert!(is_hollow(&diamond(&style, false)) && !is_hollow(&diamond(&style, true)));
        let area = diamond(&style, false).area();
        assert!((area.width() - style.head_width).abs() < Sp(1e-9));
        assert!((area.height() - style.head_height).abs() < Sp(1e-9));
    }

    #[test]
    fn rests_are_as_high_as_their_value_says() {
        let style = TypeStyle::default();
        let height = |value, spaces| rest(&style, value, spaces).area().height();
        assert_eq!([height(Value::Longa, 2), height(Value::Longa, 3)], [Sp(2.0), Sp(3.0)]);
        assert_eq!(height(Value::Breve, 2), Sp(1.0));
        // A semibreve hangs from the line on which a minim stands (common practice).
        let (hanging, standing) =
            (rest(&style, Value::Semibreve, 2).area(), rest(&style, Value::Minim, 2).area());
        assert_eq!(hanging.top, standing.bottom);
    }
}
