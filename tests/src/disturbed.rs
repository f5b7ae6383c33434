//! Pictures as a camera or a bad scanner gives them: turned, bent, blurred, spotted, faded.

use std::f64::consts::TAU;

use facsimile::image::{GrayImage, Luma};
use imageproc::filter::gaussian_blur_f32;
use imageproc::geometric_transformations::{Border, Interpolation, warp_with};
use imageproc::noise::gaussian_noise_mut;

use crate::Raster;

/// Numbers that look as if thrown, the same for the same seed (a linear congruence; its constants
/// are those of D. E. Knuth, The Art of Computer Programming, volume 2, section 3.3.4, as MMIX has them; from memory).
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    /// By a seed.
    pub fn new(seed: u64) -> Dice {
        let mut dice = Dice(seed);
        // The first are much alike for seeds that are.
        for _ in 0..4 {
            dice.throw();
        }
        dice
    }

    /// From 0 to 1.
    pub fn throw(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as f64 / (1_u64 << 31) as f64
    }

    /// Between two numbers.
    pub fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.throw()
    }
}

/// What happens to a picture.
#[derive(Clone, Debug)]
pub struct Disturbance {
    /// Degrees by which it is turned, clockwise.
    pub turned: f64,
    /// Pixels by which its rows are bent up and down, in one wave over the width.
    pub bent: f64,
    /// Where the wave begins, of its length.
    pub wave: f64,
    /// The deviation of a blur, in pixels.
    pub blurred: f32,
    /// How many spots there are.
    pub spots: usize,
    /// By what part the darkest corner is darker than the lightest.
    pub shaded: f64,
    /// What part of the difference of ink and paper is left.
    pub contrast: f64,
    /// The deviation of each pixel's noise, in shades.
    pub noise: f64,
    /// Whether light and dark change places.
    pub negative: bool,
}

impl Disturbance {
    /// Some disturbance of a picture whose lines are so many pixels apart.
    pub fn thrown(dice: &mut Dice, space: f64) -> Disturbance {
        Disturbance {
            turned: dice.between(-2.0, 2.0),
            bent: dice.between(0.0, 1.5) * space,
            wave: dice.throw(),
            blurred: (dice.between(0.02, 0.16) * space) as f32,
            spots: (dice.between(0.0, 60.0)) as usize,
            shaded: dice.between(0.0, 0.6),
            contrast: dice.between(0.5, 1.0),
            noise: dice.between(0.0, 12.0),
            negative: dice.throw() < 0.15,
        }
    }

    /// Where a point of the picture goes.
    pub fn moved(&self, (x, y): (f64, f64), size: (u32, u32)) -> (f64, f64) {
        let (sin, cos) = self.turned.to_radians().sin_cos();
        let middle = (f64::from(size.0) / 2.0, f64::from(size.1) / 2.0);
        let (x, y) = (x - middle.0, y - self.bend(x, size) - middle.1);
        (middle.0 + x * cos - y * sin, middle.1 + x * sin + y * cos)
    }

    fn bend(&self, x: f64, size: (u32, u32)) -> f64 {
        self.bent * (TAU * (x / f64::from(size.0) + self.wave)).sin()
    }

    /// The picture as it is then, on a table that is a little darker than the paper.
    ///
    /// # Panics
    /// If the picture has fewer pixels than it says.
    pub fn of(&self, picture: &Raster, dice: &mut Dice) -> GrayImage {
        let size = (picture.width, picture.height);
        let white = picture.black.iter().map(|black| 255 - black).collect();
        let flat = GrayImage::from_raw(size.0, size.1, white).expect("a picture");
        let (sin, cos) = self.turned.to_radians().sin_cos();
        let middle = (f64::from(size.0) / 2.0, f64::from(size.1) / 2.0);
        let source = |x: f32, y: f32| {
            let (x, y) = (f64::from(x) - middle.0, f64::from(y) - middle.1);
            let (x, y) = (middle.0 + x * cos + y * sin, middle.1 - x * sin + y * cos);
            (x as f32, (y + self.bend(x, size)) as f32)
        };
        let table = Border::Constant(Luma([225]));
        let mut warped = warp_with(&flat, source, Interpolation::Bilinear, table);
        for _ in 0..self.spots {
            spot(&mut warped, dice);
        }
        if self.blurred > 0.1 {
            warped = gaussian_blur_f32(&warped, self.blurred);
        }
        let (across, down) = (dice.between(-1.0, 1.0), dice.between(-1.0, 1.0));
        for (x, y, pixel) in warped.enumerate_pixels_mut() {
            let place = |at: u32, length: u32| f64::from(at) / f64::from(length) - 0.5;
            let slope = across * place(x, size.0) + down * place(y, size.1);
            let light = 1.0 - self.shaded * (0.5 + 0.5 * slope);
            let paper = 255.0 - self.contrast * (255.0 - f64::from(pixel.0[0]));
            pixel.0[0] = (light * paper).clamp(0.0, 255.0) as u8;
        }
        if self.noise >= 1.0 {
            let seed = (dice.throw() * 1e9) as u64;
            gaussian_noise_mut(&mut warped, 0.0, self.noise, seed);
        }
        if self.negative {
            warped.pixels_mut().for_each(|pixel| pixel.0[0] = 255 - pixel.0[0]);
        }
        warped
    }
}

/// A dark drop, or a worn place.
fn spot(picture: &mut GrayImage, dice: &mut Dice) {
    let (width, height) = picture.dimensions();
    let x = dice.between(0.0, f64::from(width));
    let y = dice.between(0.0, f64::from(height));
    let radius = dice.between(0.001, 0.012) * f64::from(width);
    let shade = if dice.throw() < 0.7 { dice.between(20.0, 160.0) } else { 255.0 };
    let span = |at: f64, length: u32| {
        (at - radius).max(0.0) as u32..((at + radius) as u32 + 1).min(length)
    };
    for row in span(y, height) {
        for column in span(x, width) {
            if (f64::from(column) - x).hypot(f64::from(row) - y) < radius {
                picture.put_pixel(column, row, Luma([shade as u8]));
            }
        }
    }
}
