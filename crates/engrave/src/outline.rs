//! Drawings: closed curves that are filled.

use crate::units::{Area, Point, Sp};

/// A drawing, filled by the nonzero rule.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Outline {
    /// Its strokes, in order.
    pub strokes: Vec<Stroke>,
}

/// One stroke of a drawing.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Stroke {
    /// A new curve begins here.
    Move(Point),
    /// Straight to a point.
    Line(Point),
    /// By one control point to an end.
    Quadratic(Point, Point),
    /// By two control points to an end.
    Cubic(Point, Point, Point),
    /// Back to where the curve began.
    Close,
}

impl Outline {
    /// The closed polygon of these corners.
    pub fn polygon(corners: impl IntoIterator<Item = (f64, f64)>) -> Outline {
        let mut outline = Outline::default();
        outline.add_polygon(corners);
        outline
    }

    /// Adds a closed polygon.
    pub fn add_polygon(&mut self, corners: impl IntoIterator<Item = (f64, f64)>) {
        for (place, (x, y)) in corners.into_iter().enumerate() {
            let point = Point::new(Sp(x), Sp(y));
            self.strokes.push(if place == 0 { Stroke::Move(point) } else { Stroke::Line(point) });
        }
        self.strokes.push(Stroke::Close);
    }

    /// The drawing so many times as large, around the origin.
    #[must_use]
    pub(crate) fn scaled(mut self, by: f64) -> Outline {
        let point = |point: Point| Point::new(point.x * by, point.y * by);
        for stroke in &mut self.strokes {
            *stroke = match *stroke {
                Stroke::Move(end) => Stroke::Move(point(end)),
                Stroke::Line(end) => Stroke::Line(point(end)),
                Stroke::Quadratic(by, end) => Stroke::Quadratic(point(by), point(end)),
                Stroke::Cubic(one, two, end) => Stroke::Cubic(point(one), point(two), point(end)),
                Stroke::Close => Stroke::Close,
            };
        }
        self
    }

    /// The drawing upside down.
    #[must_use]
    pub(crate) fn flipped(mut self) -> Outline {
        let point = |point: Point| Point::new(point.x, -point.y);
        for stroke in &mut self.strokes {
            *stroke = match *stroke {
                Stroke::Move(end) => Stroke::Move(point(end)),
                Stroke::Line(end) => Stroke::Line(point(end)),
                Stroke::Quadratic(by, end) => Stroke::Quadratic(point(by), point(end)),
                Stroke::Cubic(one, two, end) => Stroke::Cubic(point(one), point(two), point(end)),
                Stroke::Close => Stroke::Close,
            };
        }
        self
    }

    /// The drawing moved to the right and down.
    #[must_use]
    pub fn moved(mut self, x: Sp, y: Sp) -> Outline {
        for stroke in &mut self.strokes {
            *stroke = match *stroke {
                Stroke::Move(end) => Stroke::Move(end.moved(x, y)),
                Stroke::Line(end) => Stroke::Line(end.moved(x, y)),
                Stroke::Quadratic(by, end) => Stroke::Quadratic(by.moved(x, y), end.moved(x, y)),
                Stroke::Cubic(one, two, end) => {
                    Stroke::Cubic(one.moved(x, y), two.moved(x, y), end.moved(x, y))
                }
                Stroke::Close => Stroke::Close,
            };
        }
        self
    }

    /// Points along the curves: the ends of all strokes and, of curved ones, `between` points
    /// evenly in between.
    pub fn points(&self, between: u32) -> Vec<Point> {
        let mut points = Vec::new();
        let mut from = Point::default();
        for stroke in &self.strokes {
            let curve: [Point; 4] = match *stroke {
                Stroke::Close => continue,
                Stroke::Move(end) | Stroke::Line(end) => {
                    points.push(end);
                    from = end;
                    continue;
                }
                Stroke::Quadratic(by, end) => {
                    let third = |one: Point, two: Point| {
                        let part = |one: Sp, two: Sp| one + (two - one) * (2.0 / 3.0);
                        Point::new(part(one.x, two.x), part(one.y, two.y))
                    };
                    [from, third(from, by), third(end, by), end]
                }
                Stroke::Cubic(one, two, end) => [from, one, two, end],
            };
            for step in 1..=between {
                points.push(on_curve(curve, f64::from(step) / f64::from(between + 1)));
            }
            points.push(curve[3]);
            from = curve[3];
        }
        points
    }

    /// The rectangle around it.
    pub fn area(&self) -> Area {
        self.points(5).into_iter().fold(Area::EMPTY, Area::with)
    }
}

/// The point of a cubic Bézier curve at a parameter from 0 to 1.
pub(crate) fn on_curve(curve: [Point; 4], at: f64) -> Point {
    let left = 1.0 - at;
    let weights = [left * left * left, 3.0 * left * left * at, 3.0 * left * at * at, at * at * at];
    let sum = |part: fn(&Point) -> Sp| {
        curve.iter().zip(weights).map(|(point, weight)| part(point) * weight).sum()
    };
    Point::new(sum(|point| point.x), sum(|point| point.y))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_area_of_a_curve_is_less_than_that_of_its_control_points() {
        let at = |x, y| Point::new(Sp(x), Sp(y));
        let arc = Outline {
            strokes: vec![
                Stroke::Move(at(0.0, 0.0)),
                Stroke::Cubic(at(0.0, 4.0), at(8.0, 4.0), at(8.0, 0.0)),
                Stroke::Close,
            ],
        };
        assert_eq!(arc.area(), Area::new(Sp(0.0), Sp(0.0), Sp(8.0), Sp(3.0)));
    }
}
