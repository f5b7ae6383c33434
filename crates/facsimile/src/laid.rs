//! A staff as the network reads it: laid out straight, of one size, dark on light.

use image::GrayImage;

use crate::Strip;
use crate::level::{halved, light};

/// How many rows a laid-out staff has; the middle line runs between the two in their middle.
pub const ROWS: usize = 96;

/// How many columns and rows the distance of two lines has.
pub const SPACE: usize = 10;

/// No staff is laid out longer than this, in columns: twenty times its height.
const LONGEST: usize = 4000;

/// Beyond so many pixels to a space, a picture is halved before it is laid out.
const COARSE: f64 = 1.5 * SPACE as f64;

/// A picture at its own size, at a half, a quarter and so on.
pub struct Sizes(Vec<GrayImage>);

impl Sizes {
    /// A picture at the sizes that its staves need.
    pub fn of(picture: &GrayImage, strips: &[Strip]) -> Sizes {
        let largest = strips.iter().map(|strip| strip.space).fold(0.0, f64::max);
        let mut sizes = vec![picture.clone()];
        while let Some(last) = sizes.last()
            && largest / f64::from(1_u32 << (sizes.len() - 1)) > COARSE
            && last.width().min(last.height()) > 1
        {
            let half = halved(last);
            sizes.push(half);
        }
        Sizes(sizes)
    }

    /// Lays out a staff: [`ROWS`] rows, dark on light. Its columns are [`SPACE`] to the distance of two
    /// lines, beginning a space before the left end of the lines.
    pub fn laid(&self, strip: &Strip) -> GrayImage {
        let mut scale = 1.0;
        let mut picture = &self.0[0];
        for smaller in &self.0[1..] {
            if strip.space / scale > COARSE {
                scale *= 2.0;
                picture = smaller;
            }
        }
        let step = strip.space / SPACE as f64;
        let (left, right) = match strip.middle.as_slice() {
            [first, .., last] => (first.0, last.0),
            _ => (strip.x, strip.x + strip.width),
        };
        let columns = (((right - left) / step).round() as usize).clamp(1, LONGEST);
        // A pixel is a square, and its place the middle of it.
        let there = |place: f64| (place / scale - 0.5) as f32;
        let mut pixels = vec![0_u8; ROWS * columns];
        for column in 0..columns {
            let x = left + (column as f64 + 0.5) * step;
            let middle = height(&strip.middle, x);
            for row in 0..ROWS {
                let y = middle + (row as f64 + 0.5 - ROWS as f64 / 2.0) * step;
                let light = light(picture, there(x), there(y));
                pixels[row * columns + column] = light.round().clamp(0.0, 255.0) as u8;
            }
        }
        if is_negative(&pixels, columns) {
            for pixel in &mut pixels {
                *pixel = 255 - *pixel;
            }
        }
        GrayImage::from_raw(columns as u32, ROWS as u32, pixels).unwrap_or_default()
    }
}

/// The height of a line through points at a place from left to right; beyond them it goes on level.
fn height(points: &[(f64, f64)], x: f64) -> f64 {
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

/// Whether the staff's lines are lighter than the spaces between them.
fn is_negative(pixels: &[u8], columns: usize) -> bool {
    let mean = |row: usize| -> f64 {
        let row = &pixels[row * columns..(row + 1) * columns];
        row.iter().map(|pixel| f64::from(*pixel)).sum::<f64>()
    };
    let half = ROWS / 2;
    let lines: f64 = [-2, -1, 0, 1, 2]
        .map(|line: isize| {
            let row = half.saturating_add_signed(line * SPACE as isize);
            mean(row - 1) + mean(row)
        })
        .iter()
        .sum();
    let gaps: f64 = [-2, -1, 0, 1]
        .map(|gap: isize| {
            let row = half.saturating_add_signed(gap * SPACE as isize) + SPACE / 2;
            mean(row - 1) + mean(row)
        })
        .iter()
        .sum();
    lines / 5.0 > gaps / 4.0
}
