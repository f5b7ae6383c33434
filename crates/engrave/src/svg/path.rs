//! Path data of an SVG file: each point counted from the one before.

use std::fmt::Write as _;

use super::number::Digits;
use crate::outline::{Outline, Stroke};
use crate::units::Point;

/// Writes a drawing as path data: lengths times `scale`, moved to a place.
pub(super) fn outline(
    outline: &Outline,
    scale: f64,
    (left, top): (f64, f64),
    digits: Digits,
    out: &mut String,
) {
    let units = |point: Point| {
        (digits.units(left + point.x.0 * scale), digits.units(top + point.y.0 * scale))
    };
    let mut pen = Pen { digits, at: (0, 0), begun: (0, 0), out };
    for stroke in &outline.strokes {
        match *stroke {
            Stroke::Move(to) => pen.move_to(units(to)),
            Stroke::Line(to) => pen.line_to(units(to)),
            Stroke::Quadratic(by, to) => pen.curve_to('q', &[units(by), units(to)]),
            Stroke::Cubic(one, two, to) => pen.curve_to('c', &[units(one), units(two), units(to)]),
            Stroke::Close => pen.close(),
        }
    }
}

struct Pen<'o> {
    digits: Digits,
    /// Where it stands, in the smallest units.
    at: (i64, i64),
    /// Where the curve began.
    begun: (i64, i64),
    out: &'o mut String,
}

impl Pen<'_> {
    fn move_to(&mut self, to: (i64, i64)) {
        let (x, y) = (self.digits.number(to.0), self.digits.number(to.1));
        let _ = write!(self.out, "M{x} {y}");
        (self.at, self.begun) = (to, to);
    }

    fn line_to(&mut self, to: (i64, i64)) {
        let (across, down) = (to.0 - self.at.0, to.1 - self.at.1);
        let _ = match (across, down) {
            (0, 0) => return,
            (_, 0) => write!(self.out, "h{}", self.digits.number(across)),
            (0, _) => write!(self.out, "v{}", self.digits.number(down)),
            _ => return self.curve_to('l', &[to]),
        };
        self.at = to;
    }

    fn curve_to(&mut self, command: char, points: &[(i64, i64)]) {
        self.out.push(command);
        let lengths = points.iter().flat_map(|to| [to.0 - self.at.0, to.1 - self.at.1]);
        for (place, length) in lengths.enumerate() {
            // A sign parts two numbers as well.
            if place > 0 && length >= 0 {
                self.out.push(' ');
            }
            let _ = write!(self.out, "{}", self.digits.number(length));
        }
        self.at = points.last().copied().unwrap_or(self.at);
    }

    fn close(&mut self) {
        self.out.push('z');
        self.at = self.begun;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Sp;

    #[test]
    fn points_are_counted_from_the_one_before() {
        let at = |x, y| Point::new(Sp(x), Sp(y));
        let drawing = Outline {
            strokes: vec![
                Stroke::Move(at(1.0, 2.0)),
                Stroke::Line(at(3.0, 2.0)),
                Stroke::Line(at(3.0, 1.5)),
                Stroke::Cubic(at(4.0, 1.0), at(2.0, 0.0), at(1.004, 0.004)),
                Stroke::Close,
            ],
        };
        let mut written = String::new();
        outline(&drawing, 1.0, (0.0, 10.0), Digits(2), &mut written);
        assert_eq!(written, "M1 12h2v-.5c1-.5-1-1.5-2-1.5z");
    }

    /// Rounded lengths do not add up to a drift: it ends where it should.
    #[test]
    fn sums_do_not_drift() {
        let points = (0..100).map(|step| (f64::from(step) * 0.004, 0.0));
        let mut written = String::new();
        outline(&Outline::polygon(points), 1.0, (0.0, 0.0), Digits(2), &mut written);
        let lengths = written.trim_start_matches("M0 0").trim_end_matches('z').split('h');
        let sum: f64 =
            lengths.filter(|one| !one.is_empty()).map(|one| one.parse::<f64>().unwrap()).sum();
        assert!((sum - 0.4).abs() < 0.005, "{written}");
    }
}
