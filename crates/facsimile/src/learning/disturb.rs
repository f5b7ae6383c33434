//! A staff as it might look elsewhere in the print: stretched, bent, moved, paler, coarser. So a few lines
//! teach what is common to them, and not their spots. After `training/disturb.py`, without what other prints
//! would have.

use fastrand::Rng;
use image::GrayImage;

use crate::laid::ROWS;
use crate::level::light;

/// The lightness of a staff, row by row, disturbed by chance: the same chance, the same disturbance.
pub(super) fn disturbed(laid: &GrayImage, chance: &mut Rng) -> Vec<f32> {
    let bent = bent(laid, chance);
    let columns = bent.len() / ROWS;
    let mut ink = stretched(&bent);
    if chance.bool() {
        let deviation = between(chance, 0.2, 1.0);
        ink = blurred(&ink, columns, deviation);
    }
    if chance.bool() {
        let (middle, soft) = (between(chance, 0.22, 0.6), between(chance, 0.1, 0.3));
        for ink in &mut ink {
            *ink = 1.0 / (1.0 + ((middle - *ink) / soft).exp());
        }
    }
    let grain = between(chance, 0.0, 0.08);
    ink.iter().map(|ink| 1.0 - ink + grain * thrown(chance)).collect()
}

fn between(chance: &mut Rng, least: f32, most: f32) -> f32 {
    least + (most - least) * chance.f32()
}

/// Of mean 0 and deviation 1, near enough: the sum of four even throws.
fn thrown(chance: &mut Rng) -> f32 {
    let sum: f32 = (0..4).map(|_| chance.f32()).sum();
    (sum - 2.0) * 3.0_f32.sqrt()
}

/// Stretched both ways, moved, slanted, waved.
fn bent(laid: &GrayImage, chance: &mut Rng) -> Vec<f32> {
    let (across, down) = (between(chance, 0.8, 1.2), between(chance, 0.9, 1.1));
    let columns = (laid.width() as f32 * across).round().max(1.0) as usize;
    let (rise, slant) = (between(chance, -3.0, 3.0), between(chance, -0.08, 0.08));
    let lean = between(chance, -0.012, 0.012);
    let mut wave = |most: f32, least: f32, longest: f32| {
        let (size, long) = (between(chance, 0.0, most), between(chance, least, longest));
        let begin = between(chance, 0.0, std::f32::consts::TAU);
        move |at: f32| size * (at / long + begin).sin()
    };
    let (up, along) = (wave(1.3, 15.0, 120.0), wave(2.5, 20.0, 150.0));
    let middle = ROWS as f32 / 2.0;
    let mut values = Vec::with_capacity(ROWS * columns);
    for row in 0..ROWS {
        let y = row as f32 + 0.5 - middle;
        for column in 0..columns {
            let x = column as f32 + 0.5;
            let from_y = (y + up(x) + rise + lean * (x - columns as f32 / 2.0)) / down + middle;
            let from_x = (x + slant * y + along(x)) / across;
            values.push(light(laid, from_x - 0.5, from_y - 0.5));
        }
    }
    values
}

/// Lightness up to 255 as ink from 0, the paper, to 1.
fn stretched(light: &[f32]) -> Vec<f32> {
    let mut sorted: Vec<f32> = light.to_vec();
    sorted.sort_by(f32::total_cmp);
    let at = |part: f32| sorted[((sorted.len() - 1) as f32 * part) as usize];
    let (paper, ink) = (at(0.7), at(0.015));
    light.iter().map(|light| ((paper - light) / (paper - ink + 0.25)).clamp(0.0, 1.0)).collect()
}

/// Blurred both ways by a bell of that deviation, in pixels.
fn blurred(ink: &[f32], columns: usize, deviation: f32) -> Vec<f32> {
    let reach = (2.5 * deviation).ceil() as isize;
    let bell = |at: isize| (-0.5 * (at as f32 / deviation).powi(2)).exp();
    let all: f32 = (-reach..=reach).map(bell).sum();
    let weights: Vec<f32> = (-reach..=reach).map(|at| bell(at) / all).collect();
    let along = |values: &[f32], step: usize, count: usize, at: usize| -> f32 {
        let here = at / step % count;
        let one = |(number, weight): (usize, &f32)| {
            let by = number as isize - reach;
            let there = here.checked_add_signed(by).filter(|there| *there < count)?;
            Some(weight * values[at - here * step + there * step])
        };
        weights.iter().enumerate().filter_map(one).sum()
    };
    let level: Vec<f32> = (0..ink.len()).map(|at| along(ink, 1, columns, at)).collect();
    (0..ink.len()).map(|at| along(&level, columns, ROWS, at)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Five lines, and nothing else.
    fn staff() -> GrayImage {
        GrayImage::from_fn(200, ROWS as u32, |_, row| {
            let is_line = (28..=68).contains(&row) && (row - 28) % 10 < 2;
            image::Luma([if is_line { 30 } else { 220 }])
        })
    }

    #[test]
    fn it_is_another_each_time_and_the_same_by_the_same_chance() {
        let staff = staff();
        let of = |seed| disturbed(&staff, &mut Rng::with_seed(seed));
        assert_eq!(of(1), of(1));
        assert_ne!(of(1), of(2));
    }

    /// Paper stays light and lines dark, however they are bent.
    #[test]
    fn what_is_dark_stays_dark() {
        for seed in 0..20 {
            let light = disturbed(&staff(), &mut Rng::with_seed(seed));
            let columns = light.len() / ROWS;
            assert!((155..=245).contains(&columns), "{columns}");
            let column: Vec<f32> =
                (0..ROWS).map(|row| light[row * columns + columns / 2]).collect();
            let dark = column.iter().filter(|light| **light < 0.6).count();
            assert!((5..=30).contains(&dark), "{seed}: {dark}");
        }
    }
}
