//! A picture at one scale, and its rows in short pieces: what a staff line is stands out from the mean
//! of a piece of a row, however faint or broken it is.

use image::GrayImage;

/// How long a piece of a row is, in pixels of the level. A line that is two degrees off drifts by less
/// than half a pixel over it.
pub(crate) const PIECE: usize = 12;

/// No level is smaller, in pixels.
const SMALLEST: u32 = 48;

/// Whether the ink is darker than the paper, or lighter, as in a negative.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Ink {
    /// Ink on paper.
    Dark,
    /// A negative.
    Light,
}

/// A picture at one scale.
pub(crate) struct Level {
    /// The pixels.
    pub(crate) pixels: GrayImage,
    /// How many pixels of the picture a pixel is wide and high.
    pub(crate) scale: u32,
    /// The means of pieces, column by column, from the top down.
    means: Vec<f32>,
}

impl Level {
    /// A picture at half its scale, at a quarter, and so on; its own first.
    pub(crate) fn all(picture: GrayImage) -> Vec<Level> {
        let mut levels = vec![Level::new(picture, 1)];
        while let Some(last) = levels.last()
            && last.pixels.width().min(last.pixels.height()) >= 2 * SMALLEST
        {
            let next = Level::new(halved(&last.pixels), 2 * last.scale);
            levels.push(next);
        }
        levels
    }

    fn new(pixels: GrayImage, scale: u32) -> Level {
        let (width, height) = (pixels.width() as usize, pixels.height() as usize);
        let columns = width / PIECE;
        let mut means = vec![0.0; columns * height];
        for (y, row) in pixels.as_raw().chunks_exact(width.max(1)).enumerate() {
            for (column, piece) in row.chunks_exact(PIECE).enumerate() {
                let sum: u32 = piece.iter().map(|&pixel| u32::from(pixel)).sum();
                means[column * height + y] = sum as f32 / PIECE as f32;
            }
        }
        Level { pixels, scale, means }
    }

    /// How many rows there are.
    pub(crate) fn rows(&self) -> usize {
        self.pixels.height() as usize
    }

    /// How many strips of two pieces, each overlapping the next by one.
    pub(crate) fn strips(&self) -> usize {
        (self.pixels.width() as usize / PIECE).saturating_sub(1)
    }

    /// The middle of a strip, in pixels of the level.
    pub(crate) fn middle(strip: usize) -> f32 {
        ((strip + 1) * PIECE) as f32
    }

    /// How inky a strip is, row by row: the higher the inkier, counted from anywhere.
    pub(crate) fn strip(&self, strip: usize, ink: Ink) -> Vec<f32> {
        let rows = self.rows();
        let (one, other) = (&self.means[strip * rows..], &self.means[(strip + 1) * rows..]);
        let sign = match ink {
            Ink::Dark => -0.5,
            Ink::Light => 0.5,
        };
        one.iter().zip(other).take(rows).map(|(one, other)| sign * (one + other)).collect()
    }

    /// How inky a point is, between pixels; the edge goes on beyond the picture.
    pub(crate) fn at(&self, x: f32, y: f32, ink: Ink) -> f32 {
        let light = light(&self.pixels, x, y);
        match ink {
            Ink::Dark => -light,
            Ink::Light => light,
        }
    }
}

/// How light a point of a picture is, between pixels; the edge goes on beyond the picture.
pub(crate) fn light(pixels: &GrayImage, x: f32, y: f32) -> f32 {
    let most = |length: u32| length.saturating_sub(1);
    let (across, down) = (most(pixels.width()), most(pixels.height()));
    let (x, y) = (x.clamp(0.0, across as f32), y.clamp(0.0, down as f32));
    let (left, top) = (x as u32, y as u32);
    let (right, bottom) = ((left + 1).min(across), (top + 1).min(down));
    let raw = pixels.as_raw();
    let pixel = |x: u32, y: u32| f32::from(raw[(y * pixels.width() + x) as usize]);
    let (part_x, part_y) = (x - left as f32, y - top as f32);
    let upper = pixel(left, top) * (1.0 - part_x) + pixel(right, top) * part_x;
    let lower = pixel(left, bottom) * (1.0 - part_x) + pixel(right, bottom) * part_x;
    upper * (1.0 - part_y) + lower * part_y
}

/// Each pixel the mean of four.
pub(crate) fn halved(pixels: &GrayImage) -> GrayImage {
    let (width, height) = (pixels.width() / 2, pixels.height() / 2);
    let row = |y: u32| {
        let start = (y * pixels.width()) as usize;
        &pixels.as_raw()[start..start + 2 * width as usize]
    };
    let mut half = Vec::with_capacity((width * height) as usize);
    for y in 0..height {
        let pairs = row(2 * y).chunks_exact(2).zip(row(2 * y + 1).chunks_exact(2));
        half.extend(pairs.map(|(upper, lower)| {
            let sum: u16 = upper.iter().chain(lower).map(|&pixel| u16::from(pixel)).sum();
            ((sum + 2) / 4) as u8
        }));
    }
    GrayImage::from_raw(width, height, half).unwrap_or_default()
}

/// A row between rows, the edge going on beyond.
pub(crate) fn between(rows: &[f32], y: f32) -> f32 {
    let y = y.clamp(0.0, rows.len().saturating_sub(1) as f32);
    let above = y as usize;
    let below = (above + 1).min(rows.len() - 1);
    let part = y - above as f32;
    rows[above] * (1.0 - part) + rows[below] * part
}
