//! A staff as the network reads it: laid out straight, of one size, dark on light.

use std::ops::Range;

use image::GrayImage;

use crate::area::Area;
use crate::level::{halved, light};
use crate::staff::middle;
use crate::strip::Strip;

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
        let (columns, mut pixels) = self.straight(strip, -(ROWS as f64) / 2.0, ROWS);
        if is_negative(&pixels, columns) {
            for pixel in &mut pixels {
                *pixel = 255 - *pixel;
            }
        }
        GrayImage::from_raw(columns as u32, ROWS as u32, pixels).unwrap_or_default()
    }

    /// What lies below a staff, so many rows from so many spaces below its middle line on.
    pub(crate) fn band(&self, strip: &Strip, from: f64, rows: usize) -> Band {
        let (columns, staff) = self.straight(strip, -(ROWS as f64) / 2.0, ROWS);
        let (_, pixels) = self.straight(strip, from * SPACE as f64, rows);
        let sign = if is_negative(&staff, columns) { -1.0 } else { 1.0 };
        let mut dark: Vec<f32> = pixels.iter().map(|pixel| -sign * f32::from(*pixel)).collect();
        let lines: Vec<f32> = LINES
            .iter()
            .flat_map(|row| &staff[row * columns..(row + 1) * columns])
            .map(|pixel| -sign * f32::from(*pixel))
            .collect();
        // Paper is what most places near have; it is darker towards the fold.
        let paper = |column: usize| {
            let near = column.saturating_sub(NEAR)..(column + NEAR).min(columns);
            let rows = (0..rows).flat_map(|row| near.clone().map(move |at| row * columns + at));
            middle(rows.map(|at| dark[at]).collect()).unwrap_or(0.0)
        };
        let papers: Vec<f32> = (0..columns).step_by(NEAR).map(paper).collect();
        let all = middle(papers.clone()).unwrap_or(0.0);
        let depth = (middle(lines).unwrap_or(0.0) - all).max(LEAST_DEPTH);
        for (at, dark) in dark.iter_mut().enumerate() {
            *dark = (*dark - papers[at % columns / NEAR]) / depth;
        }
        Band { ink: dark, columns, strip: strip.clone(), from }
    }

    /// So many rows of a staff laid out straight, from a row above or below its middle line on, and how many
    /// columns it has.
    fn straight(&self, strip: &Strip, from: f64, rows: usize) -> (usize, Vec<u8>) {
        let mut scale = 1.0;
        let mut picture = &self.0[0];
        for smaller in &self.0[1..] {
            if strip.space / scale > COARSE {
                scale *= 2.0;
                picture = smaller;
            }
        }
        let step = strip.space / SPACE as f64;
        let (left, right) = strip.ends();
        let columns = (((right - left) / step).round() as usize).clamp(1, LONGEST);
        // A pixel is a square, and its place the middle of it.
        let there = |place: f64| (place / scale - 0.5) as f32;
        let mut pixels = vec![0_u8; rows * columns];
        for column in 0..columns {
            let x = left + (column as f64 + 0.5) * step;
            let middle = strip.middle_at(x);
            for row in 0..rows {
                let y = middle + (from + row as f64 + 0.5) * step;
                let light = light(picture, there(x), there(y));
                pixels[row * columns + column] = light.round().clamp(0.0, 255.0) as u8;
            }
        }
        (columns, pixels)
    }
}

/// The rows just at the five lines.
const LINES: [usize; 5] = {
    let half = ROWS / 2;
    [half - 2 * SPACE, half - SPACE, half, half + SPACE, half + 2 * SPACE]
};

/// So many columns to either side are near.
const NEAR: usize = 8 * SPACE;

/// The lines of a staff are darker than paper by so many shades at least.
const LEAST_DEPTH: f32 = 8.0;

/// What lies below a staff, laid out straight.
pub(crate) struct Band {
    /// How inky its places are, row by row: from about 0, paper, to about 1, a line of the staff.
    ink: Vec<f32>,
    columns: usize,
    strip: Strip,
    from: f64,
}

impl Band {
    pub(crate) fn columns(&self) -> usize {
        self.columns
    }

    pub(crate) fn ink(&self, column: usize, row: usize) -> f32 {
        self.ink[row * self.columns + column]
    }

    /// Where some columns and rows of it are in the picture.
    pub(crate) fn area(&self, columns: Range<usize>, rows: Range<usize>) -> Area {
        let step = self.strip.space / SPACE as f64;
        let (left, _) = self.strip.ends();
        let x = left + columns.start as f64 * step;
        let width = columns.len() as f64 * step;
        let ends = [x, x + width].map(|x| self.strip.middle_at(x) + self.from * self.strip.space);
        let y = ends[0].min(ends[1]) + rows.start as f64 * step;
        let bottom = ends[0].max(ends[1]) + rows.end as f64 * step;
        Area { x, y, width, height: bottom - y }
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
