//! Lines along a path, whole or broken, as drawings: each colour of a mark has a kind of line of its
//! own, so that it is known without its colour too.

use notation::MarkColor;

use crate::outline::{Outline, Stroke};
use crate::units::{Point, Sp};

/// A kind of line.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Pen {
    pub(crate) thickness: Sp,
    /// How long it is drawn, lifted, drawn, …; nothing for a whole line. The lengths are stretched a
    /// little, so that a line begins and ends with its first stroke.
    pub(crate) pattern: &'static [f64],
    /// By what the lengths are multiplied.
    scale: f64,
}

impl Pen {
    /// The pen of a colour; black is whole.
    pub(crate) fn of(color: Option<MarkColor>) -> Pen {
        let (thickness, pattern): (f64, &[f64]) = match color {
            None => (0.17, &[]),
            Some(MarkColor::Blue) => (0.2, &[1.1, 0.5]),
            Some(MarkColor::Orange) => (0.2, &[1.0, 0.35, 0.2, 0.35]),
            Some(MarkColor::Green) => (0.24, &[0.24, 0.3]),
            Some(MarkColor::Red) => (0.34, &[]),
            Some(MarkColor::Purple) => (0.2, &[0.8, 0.3, 0.2, 0.3, 0.2, 0.3]),
            Some(MarkColor::Sky) => (0.24, &[0.5, 0.35]),
        };
        Pen { thickness: Sp(thickness), pattern, scale: 1.0 }
    }

    /// A whole line of that thickness.
    pub(crate) fn plain(thickness: Sp) -> Pen {
        Pen { thickness, ..Pen::of(None) }
    }

    /// The same kind of line, in which all is shorter: for a line that is short itself.
    pub(crate) fn finer(self) -> Pen {
        Pen { scale: 0.7, ..self }
    }

    /// The stretches of a path of such a length that are drawn; a closed path ends where it begins.
    fn drawn(self, length: f64, closed: bool) -> Vec<(f64, f64)> {
        let period: f64 = self.pattern.iter().sum::<f64>() * self.scale;
        let Some(first) = self.pattern.first().filter(|_| period > 0.0) else {
            return vec![(0.0, length)];
        };
        let last = if closed { 0.0 } else { first * self.scale };
        let periods = ((length - last) / period).round().max(1.0);
        let stretch = length / (periods * period + last);
        let mut drawn = Vec::new();
        let mut at = 0.0;
        for _ in 0..periods as u32 {
            for pair in self.pattern.chunks(2) {
                drawn.push((at * stretch, (at + pair[0] * self.scale) * stretch));
                at += pair.iter().sum::<f64>() * self.scale;
            }
        }
        if !closed {
            drawn.push((at * stretch, length));
        }
        drawn
    }
}

/// Shorter pieces that are left of a stroke, beside something that it must not touch, look like dirt.
const SHORTEST: f64 = 0.2;

/// A line along points, drawn where `free` says that a point may have ink. Closed, if the last point
/// is the first.
pub(crate) fn along(points: &[Point], pen: Pen, free: impl Fn(Point) -> bool) -> Outline {
    let mut outline = Outline::default();
    let path = Path::new(points);
    let closed = points.len() > 2 && points.first() == points.last();
    let free = path.stretches(free);
    for (from, to) in pen.drawn(path.length(), closed) {
        for (begin, end) in &free {
            let (left, right) = (from.max(*begin), to.min(*end));
            let is_cut = left > from || right < to;
            if right - left > if is_cut { SHORTEST } else { 1e-6 } {
                path.add(left, right, pen.thickness.0 / 2.0, &mut outline);
            }
        }
    }
    outline
}

/// Points with their distances along the way.
struct Path<'p> {
    points: &'p [Point],
    distances: Vec<f64>,
}

impl<'p> Path<'p> {
    fn new(points: &'p [Point]) -> Path<'p> {
        let mut distances = Vec::with_capacity(points.len());
        let mut reached = 0.0;
        for (place, point) in points.iter().enumerate() {
            if let Some(before) = place.checked_sub(1).map(|before| points[before]) {
                reached += (point.x - before.x).0.hypot((point.y - before.y).0);
            }
            distances.push(reached);
        }
        Path { points, distances }
    }

    fn length(&self) -> f64 {
        self.distances.last().copied().unwrap_or_default()
    }

    /// The stretches on which all points are free.
    fn stretches(&self, free: impl Fn(Point) -> bool) -> Vec<(f64, f64)> {
        let mut stretches: Vec<(f64, f64)> = Vec::new();
        let mut before = false;
        for (point, at) in self.points.iter().zip(&self.distances) {
            let now = free(*point);
            match stretches.last_mut() {
                Some(last) if now && before => last.1 = *at,
                _ if now => stretches.push((*at, *at)),
                _ => {}
            }
            before = now;
        }
        stretches
    }

    /// Where a distance leads, and in what direction.
    fn at(&self, distance: f64) -> (Point, f64, f64) {
        let next = self.distances.partition_point(|other| *other <= distance);
        let next = next.clamp(1, self.points.len() - 1);
        let (from, to) = (self.points[next - 1], self.points[next]);
        let length = (self.distances[next] - self.distances[next - 1]).max(1e-9);
        let part = (distance - self.distances[next - 1]) / length;
        let (across, down) = ((to.x - from.x).0, (to.y - from.y).0);
        let point = from.moved(Sp(across * part), Sp(down * part));
        (point, across / length, down / length)
    }

    /// Adds a stroke from one distance to another, so far to both sides of the path.
    fn add(&self, from: f64, to: f64, half: f64, outline: &mut Outline) {
        if self.points.len() < 2 {
            return;
        }
        let inner = self.distances.iter().copied().filter(|at| *at > from && *at < to);
        let places = std::iter::once(from).chain(inner).chain(std::iter::once(to));
        let sides: Vec<(Point, Point)> = places
            .map(|at| {
                let (point, across, down) = self.at(at);
                // The same way round as other drawings, so that they may lie over one another.
                let (x, y) = (Sp(down * half), Sp(-across * half));
                (point.moved(x, y), point.moved(-x, -y))
            })
            .collect();
        let there = sides.iter().map(|(one, _)| *one);
        let back = sides.iter().rev().map(|(_, other)| *other);
        for (place, point) in there.chain(back).enumerate() {
            let stroke = if place == 0 { Stroke::Move(point) } else { Stroke::Line(point) };
            outline.strokes.push(stroke);
        }
        outline.strokes.push(Stroke::Close);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(length: f64) -> [Point; 2] {
        [Point::default(), Point::new(Sp(length), Sp::ZERO)]
    }

    /// From where to where the strokes of a line of that length are drawn.
    fn strokes(color: Option<MarkColor>, length: f64) -> Vec<(f64, f64)> {
        let outline = along(&line(length), Pen::of(color), |_| true);
        let parts = outline.strokes.split(|stroke| *stroke == Stroke::Close);
        let ends = parts.filter(|part| !part.is_empty()).map(|part| {
            let points = Outline { strokes: part.to_vec() }.points(0);
            let area = points.into_iter().fold(crate::units::Area::EMPTY, crate::units::Area::with);
            (area.left.0, area.right.0)
        });
        ends.collect()
    }

    #[test]
    fn a_line_begins_and_ends_with_ink() {
        for color in MarkColor::ALL.into_iter().map(Some).chain([None]) {
            for length in [0.3, 1.0, 2.7, 10.0, 33.3] {
                let drawn = strokes(color, length);
                let (first, last) = (drawn[0], drawn[drawn.len() - 1]);
                assert!(
                    first.0.abs() < 1e-9 && (last.1 - length).abs() < 1e-9,
                    "{color:?} {length}"
                );
                assert!(drawn.windows(2).all(|pair| pair[0].1 < pair[1].0), "{color:?} {length}");
            }
        }
    }

    /// In black and white: no two colours have lines of one thickness whose strokes and gaps are as
    /// long.
    #[test]
    fn kinds_of_lines_differ() {
        let pens: Vec<Pen> =
            MarkColor::ALL.into_iter().map(Some).chain([None]).map(Pen::of).collect();
        for (place, pen) in pens.iter().enumerate() {
            for other in &pens[place + 1..] {
                let thicker =
                    (pen.thickness / other.thickness).max(other.thickness / pen.thickness);
                let by_pattern = pen.pattern.len() != other.pattern.len()
                    || pen
                        .pattern
                        .iter()
                        .zip(other.pattern)
                        .any(|(one, two)| one.max(*two) / one.min(*two) > 1.9);
                assert!(by_pattern || thicker > 1.9, "{pen:?} {other:?}");
            }
        }
    }

    /// Of two drawings that go round in opposite ways the common part would be left white.
    #[test]
    fn a_stroke_goes_round_as_other_drawings_do() {
        let twice_the_area = |outline: &Outline| -> f64 {
            let points = outline.points(0);
            let next = points.iter().cycle().skip(1);
            points.iter().zip(next).map(|(one, two)| one.x.0 * two.y.0 - two.x.0 * one.y.0).sum()
        };
        let square = Outline::polygon([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]);
        let corner = [Point::default(), Point::new(Sp(2.0), Sp(3.0))];
        for path in [line(2.0), corner] {
            let stroke = along(&path, Pen::of(None), |_| true);
            assert!(twice_the_area(&stroke) * twice_the_area(&square) > 0.0);
        }
    }

    #[test]
    fn a_line_is_broken_where_it_must_not_be() {
        let points: Vec<Point> =
            (0..=40).map(|step| Point::new(Sp(f64::from(step) / 10.0), Sp::ZERO)).collect();
        let free = |point: Point| !(Sp(1.0)..Sp(2.0)).contains(&point.x);
        let area =
            |outline: &Outline| outline.points(0).into_iter().filter(|point| !free(*point)).count();
        let outline = along(&points, Pen::of(None), free);
        assert_eq!(area(&outline), 0);
        assert!(outline.strokes.len() > 8);
    }
}
