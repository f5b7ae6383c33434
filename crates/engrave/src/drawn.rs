//! Our own drawings: what the music face lacks, draws in other proportions, or cannot stretch.

use crate::outline::{Outline, Stroke};
use crate::units::{Point, Sp};

fn at(x: f64, y: f64) -> Point {
    Point::new(Sp(x), Sp(y))
}

/// A black block, as rests of long values are.
pub(crate) fn block(left: f64, top: f64, right: f64, bottom: f64) -> Outline {
    Outline::polygon(rectangle(left, top, right, bottom))
}

/// A parenthesis, so wide with the white on both its sides, and so high above and below its middle.
pub(crate) fn parenthesis(opens: bool, width: f64, half: f64) -> Outline {
    let x = |part: f64| if opens { width * part } else { width * (1.0 - part) };
    let mut outline = Outline::default();
    outline.strokes.extend([
        Stroke::Move(at(x(0.85), -half)),
        Stroke::Cubic(at(x(0.0), -half * 0.5), at(x(0.0), half * 0.5), at(x(0.85), half)),
        Stroke::Cubic(at(x(0.34), half * 0.5), at(x(0.34), -half * 0.5), at(x(0.85), -half)),
        Stroke::Close,
    ]);
    outline
}

/// A square bracket, measured like a parenthesis.
pub(crate) fn square_bracket(opens: bool, width: f64, half: f64) -> Outline {
    let x = |part: f64| if opens { width * part } else { width * (1.0 - part) };
    let (line, hook) = (0.12 / width, 0.09);
    let upright = (0.15, 0.15 + line);
    let mut outline = Outline::default();
    for (left, top, right, bottom) in [
        (upright.0, -half, upright.1, half),
        (upright.1, -half, 0.9, hook - half),
        (upright.1, half - hook, 0.9, half),
    ] {
        let (left, right) = (x(left).min(x(right)), x(left).max(x(right)));
        outline.add_polygon(rectangle(left, top, right, bottom));
    }
    outline
}

/// The corners of an upright rectangle.
pub(crate) fn rectangle(left: f64, top: f64, right: f64, bottom: f64) -> [(f64, f64); 4] {
    [(left, top), (right, top), (right, bottom), (left, bottom)]
}

/// Two upright lines and two slanted bars, thicker.
pub(crate) fn sharp() -> Outline {
    let mut outline = Outline::default();
    outline.add_polygon(rectangle(0.24, -1.25, 0.35, 1.42));
    outline.add_polygon(rectangle(0.64, -1.42, 0.75, 1.25));
    for middle in [-0.5, 0.5] {
        let (low, high) = (middle + 0.14, middle - 0.14);
        outline.add_polygon([
            (0.0, low - 0.19),
            (0.99, high - 0.19),
            (0.99, high + 0.19),
            (0.0, low + 0.19),
        ]);
    }
    outline
}

pub(crate) fn natural() -> Outline {
    let mut outline = Outline::default();
    outline.add_polygon(rectangle(0.0, -1.42, 0.11, 0.78));
    outline.add_polygon(rectangle(0.58, -0.78, 0.69, 1.42));
    for middle in [-0.5, 0.5] {
        let (low, high) = (middle + 0.1, middle - 0.1);
        outline.add_polygon([
            (0.0, low - 0.18),
            (0.69, high - 0.18),
            (0.69, high + 0.18),
            (0.0, low + 0.18),
        ]);
    }
    outline
}

/// An upright line and a bowl, which is open inside: the inner curve runs the other way round.
pub(crate) fn flat() -> Outline {
    let mut outline = Outline::polygon(rectangle(0.0, -1.85, 0.11, 0.72));
    outline.strokes.extend([
        Stroke::Move(at(0.0, -0.18)),
        Stroke::Cubic(at(0.2, -0.42), at(0.42, -0.53), at(0.58, -0.53)),
        Stroke::Cubic(at(0.76, -0.53), at(0.86, -0.41), at(0.86, -0.24)),
        Stroke::Cubic(at(0.86, 0.16), at(0.46, 0.44), at(0.0, 0.76)),
        Stroke::Close,
        Stroke::Move(at(0.11, -0.05)),
        Stroke::Line(at(0.11, 0.52)),
        Stroke::Cubic(at(0.38, 0.3), at(0.6, 0.06), at(0.6, -0.2)),
        Stroke::Cubic(at(0.6, -0.3), at(0.56, -0.37), at(0.48, -0.37)),
        Stroke::Cubic(at(0.36, -0.37), at(0.2, -0.22), at(0.11, -0.05)),
        Stroke::Close,
    ]);
    outline
}

/// A white square head with upright sides.
pub(crate) fn square_head(width: f64) -> Outline {
    let mut outline = Outline::default();
    outline.add_polygon(rectangle(0.0, -0.7, 0.13, 0.7));
    outline.add_polygon(rectangle(width - 0.13, -0.7, width, 0.7));
    outline.add_polygon(rectangle(0.0, -0.5, width, -0.24));
    outline.add_polygon(rectangle(0.0, 0.24, width, 0.5));
    outline
}

/// A brace, its tip to the left: so wide, from `top` to `bottom`, its right ends at `right`.
pub(crate) fn brace(right: f64, top: f64, bottom: f64) -> Outline {
    let middle = f64::midpoint(top, bottom);
    let half = (bottom - top) / 2.0;
    let width = 1.25;
    let tip = right - width;
    // One half, mirrored for the other: from the tip along the outer curve to the end, and back.
    // The curve lies against an upright at half the width, where it is thickest.
    let half_brace = |side: f64| {
        let y = |part: f64| middle + side * half * part;
        [
            Stroke::Move(at(tip, y(0.0))),
            Stroke::Cubic(
                at(tip + width * 0.62, y(0.1)),
                at(tip + width * 0.42, y(0.3)),
                at(tip + width * 0.36, y(0.5)),
            ),
            Stroke::Cubic(
                at(tip + width * 0.26, y(0.75)),
                at(tip + width * 0.4, y(0.92)),
                at(right, y(1.0)),
            ),
            Stroke::Cubic(
                at(tip + width * 0.66, y(0.9)),
                at(tip + width * 0.6, y(0.72)),
                at(tip + width * 0.7, y(0.5)),
            ),
            Stroke::Cubic(
                at(tip + width * 0.8, y(0.28)),
                at(tip + width * 0.86, y(0.08)),
                at(tip, y(0.0)),
            ),
            Stroke::Close,
        ]
    };
    Outline { strokes: half_brace(-1.0).into_iter().chain(half_brace(1.0)).collect() }
}

/// A bracket of a score: an upright beam with a tip at each end, its right edge at `right`.
pub(crate) fn bracket(right: f64, top: f64, bottom: f64) -> Outline {
    let thick = 0.5;
    let left = right - thick;
    let mut outline = Outline::polygon(rectangle(left, top - 0.2, right, bottom + 0.2));
    for (end, side) in [(top - 0.2, -1.0), (bottom + 0.2, 1.0)] {
        let tip = at(left + 1.5, end + side * 1.0);
        let outer = [at(left + 0.7, end + side * 0.1), at(left + 1.15, end + side * 0.35)];
        let inner = [at(left + 1.2, end + side * 0.05), at(left + 0.9, end - side * 0.25)];
        let (from, to) = (at(left, end), at(left, end - side * 0.3));
        // Round the same way as the rectangle, or the two would leave white where they overlap.
        outline.strokes.extend(if side < 0.0 {
            let back = Stroke::Cubic(inner[0], inner[1], to);
            [Stroke::Move(from), Stroke::Cubic(outer[0], outer[1], tip), back]
        } else {
            let back = Stroke::Cubic(outer[1], outer[0], from);
            [Stroke::Move(to), Stroke::Cubic(inner[1], inner[0], tip), back]
        });
        outline.strokes.push(Stroke::Close);
    }
    outline
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The areas of the curves of a drawing, positive or negative by the way they go round.
    fn signed_areas(outline: &Outline) -> Vec<f64> {
        let curves = outline.strokes.split_inclusive(|stroke| *stroke == Stroke::Close);
        let of_curve = |strokes: &[Stroke]| {
            let points = Outline { strokes: strokes.to_vec() }.points(8);
            let next = points.iter().cycle().skip(1);
            let parts = points.iter().zip(next);
            parts.map(|(one, two)| (one.x.0 * two.y.0 - two.x.0 * one.y.0) / 2.0).sum()
        };
        curves.map(of_curve).collect()
    }

    #[test]
    fn the_hooks_of_a_bracket_leave_no_white_at_its_stroke() {
        let areas = signed_areas(&bracket(-0.5, 0.0, 20.0));
        assert_eq!(areas.len(), 3);
        assert!(areas.iter().all(|area| area.signum() == areas[0].signum()), "{areas:?}");
    }
}
