//! The box round a staff: with all of its notes, turned as the staff is.

use crate::level::{Ink, Level, PIECE};
use crate::staff::Staff;
use crate::straight::{MIDDLE, ROWS, Straight};

/// What is less full is an empty staff. Of the madrigals' empty staves none has anything of the kind, and
/// those with music are twice as full as this, a last line of five notes too.
const EMPTY: f32 = 0.08;

/// Nor has it so many strokes: of the madrigals' empty staves none has one, and those with music have five or
/// more.
const STROKES: usize = 2;

/// Or one stroke, as a crease may be, with ink in so much of its spaces besides.
const INKED: f32 = 0.02;

/// Where a strip may end above or below a staff, in spaces from its outer line: beyond a head over the
/// second ledger line, and short of the next staff.
const CUT: [f32; 2] = [3.1, 4.2];

/// What stands to the left and right of the lines, in spaces: a direct, half a head.
const SIDE: f32 = 1.0;

/// A staff in a picture, and the box that holds it.
///
/// Lengths are in pixels of the picture, counted from its upper left corner.
#[derive(Clone, PartialEq, Debug)]
pub struct Strip {
    /// The left edge of the box, before it is turned.
    pub x: f64,
    /// Its upper edge.
    pub y: f64,
    /// Its width.
    pub width: f64,
    /// Its height.
    pub height: f64,
    /// By how many degrees it is turned round its middle, clockwise.
    pub angle: f64,
    /// Whether no music is printed on it.
    pub empty: bool,
    /// The distance of two of its lines.
    pub space: f64,
    /// Points of its middle line, from left to right.
    pub middle: Vec<(f64, f64)>,
}

impl Strip {
    /// The same in other units, of which a pixel has so many.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Strip {
        Strip {
            x: self.x * factor,
            y: self.y * factor,
            width: self.width * factor,
            height: self.height * factor,
            space: self.space * factor,
            middle: self.middle.into_iter().map(|(x, y)| (x * factor, y * factor)).collect(),
            ..self
        }
    }

    /// Where its lines begin and end.
    pub(crate) fn ends(&self) -> (f64, f64) {
        match self.middle.as_slice() {
            [first, .., last] => (first.0, last.0),
            _ => (self.x, self.x + self.width),
        }
    }

    /// The height of its middle line at a place from left to right; beyond its ends it goes on level.
    pub(crate) fn middle_at(&self, x: f64) -> f64 {
        let points = &self.middle;
        let next = points.partition_point(|point| point.0 < x);
        match (next.checked_sub(1).and_then(|before| points.get(before)), points.get(next)) {
            (Some(before), Some(after)) if after.0 > before.0 => {
                let part = (x - before.0) / (after.0 - before.0);
                before.1 + part * (after.1 - before.1)
            }
            (Some(point), _) | (None, Some(point)) => point.1,
            (None, None) => 0.0,
        }
    }

    /// Without what of the unturned box lies beyond a picture of some size.
    fn inside(mut self, (width, height): (u32, u32)) -> Strip {
        let (right, bottom) = (self.x + self.width, self.y + self.height);
        self.x = self.x.max(0.0);
        self.y = self.y.max(0.0);
        self.width = (right.min(width.into()) - self.x).max(1.0);
        self.height = (bottom.min(height.into()) - self.y).max(1.0);
        self
    }
}

/// The strip of a staff.
pub(crate) fn strip(fine: &Level, level: &Level, staff: &Staff, ink: Ink) -> Strip {
    let straight = Straight::new(fine, level, staff, ink);
    let ends = straight.ends();
    let strokes = straight.strokes(ends);
    let is_drawn = strokes >= STROKES || (strokes > 0 && straight.inked(ends) > INKED);
    let empty = straight.fullest(ends) < EMPTY && !is_drawn;
    let rows = straight.rows(ends);
    let space = staff.space;
    let width = level.pixels.width() as f32;
    let left = (ends[0] - SIDE * space).clamp(0.0, width);
    let right = (ends[1] + SIDE * space).clamp(left, width);
    // The straight line that the staff is nearest to, and how far it bends away from it.
    let count = (((right - left) / PIECE as f32) as usize).max(2);
    let x = |place: usize| left + (right - left) * place as f32 / count as f32;
    let points: Vec<(f32, f32)> = (0..=count).map(|place| (x(place), staff.at(x(place)))).collect();
    let (slope, height) = line(&points);
    let off = |(x, y): &(f32, f32)| y - height - slope * (x - f32::midpoint(left, right));
    let [least, most] = points
        .iter()
        .map(off)
        .fold([0.0_f32; 2], |[least, most], off| [least.min(off), most.max(off)]);
    let above = least - (2.0 + cut(&rows, -1)) * space;
    let below = most + (2.0 + cut(&rows, 1)) * space;
    let angle = slope.atan();
    let across = (right - left) / angle.cos();
    // The middle of the box lies off the line, where more is above or below.
    let shift = f32::midpoint(above, below) * angle.cos();
    let (middle_x, middle_y) =
        (f32::midpoint(left, right) - shift * angle.sin(), height + shift * angle.cos());
    let down = (below - above) * angle.cos();
    // A pixel of the level is a square of the picture, and its place is the middle of it.
    let scale = f64::from(level.scale);
    let place = |at: f32| (f64::from(at) + 0.5) * scale;
    let (wide, high) = (f64::from(across) * scale, f64::from(down) * scale);
    Strip {
        x: place(middle_x) - wide / 2.0,
        y: place(middle_y) - high / 2.0,
        width: wide,
        height: high,
        angle: f64::from(angle).to_degrees(),
        empty,
        space: f64::from(space) * scale,
        middle: points.iter().map(|&(x, y)| (place(x), place(y))).collect(),
    }
    .inside((level.pixels.width() * level.scale, level.pixels.height() * level.scale))
}

/// How far from the outer line a strip ends: where least ink is cut, and no nearer than it must.
fn cut(rows: &[f32], side: isize) -> f32 {
    let [least, most] = CUT.map(|spaces| ((2.0 + spaces) * ROWS as f32) as isize);
    let ink = |row: isize| rows[(MIDDLE as isize + side * row) as usize];
    let best = (least..=most).min_by(|&a, &b| ink(a).total_cmp(&ink(b))).unwrap_or(least);
    best as f32 / ROWS as f32 - 2.0
}

/// The slope of the straight line nearest to some points, and its height in their middle.
fn line(points: &[(f32, f32)]) -> (f32, f32) {
    let count = points.len() as f32;
    let x = points.iter().map(|(x, _)| x).sum::<f32>() / count;
    let y = points.iter().map(|(_, y)| y).sum::<f32>() / count;
    let spread: f32 = points.iter().map(|(px, _)| (px - x).powi(2)).sum();
    let rise: f32 = points.iter().map(|(px, py)| (px - x) * (py - y)).sum();
    (if spread > 0.0 { rise / spread } else { 0.0 }, y)
}
