//! The network that reads laid-out staves: convolutions over the picture, convolutions along the line, and
//! for each step of four columns the odds of every sort.
//!
//! `crates/facsimile/training` trains it and says how; nothing here learns.

mod planes;
mod weights;

use image::GrayImage;

use crate::laid::ROWS;
use crate::sort::{Kind, PLACE_COUNT, Sort};
use planes::Planes;
use weights::{Halves, Layer};

/// The weights that ship: they have seen drawn strips alone.
const SHIPPED: &[u8] = include_bytes!("drawn.f16");

/// The layers over the picture: channels that go in and come out, and by how much rows and columns are
/// thinned out before.
const PLANE: [(usize, usize, (usize, usize)); 7] = [
    (1, 16, (1, 1)),
    (16, 32, (2, 2)),
    (32, 32, (1, 1)),
    (32, 64, (2, 2)),
    (64, 64, (1, 1)),
    (64, 96, (2, 1)),
    (96, 96, (2, 1)),
];

/// How many rows are left after them.
const HEIGHT: usize = 6;

/// The channels of the layers along the line; over how many columns these reach, and how far apart.
const ALONG: usize = 128;
const REACH: usize = 5;
const APART: [usize; 4] = [1, 1, 2, 2];

/// What comes out: that there is nothing, all kinds, all places.
const OUTPUTS: usize = 1 + Kind::ALL.len() + PLACE_COUNT;

/// How many columns of a strip a step is.
pub(crate) const STEP: usize = 4;

/// No shorter strip is read, in columns.
const SHORTEST: usize = 16;

/// What keeps a division by the deviation of a strip from one by nothing, as in the training.
const SMALL: f32 = 1e-3;

/// A network that reads staves.
pub struct Network {
    plane: Vec<Layer>,
    fold: Layer,
    along: Vec<Layer>,
    outputs: Vec<f32>,
    bias: Vec<f32>,
}

/// The odds of every sort, step by step.
pub struct Odds {
    /// For each step the natural logarithms of the odds: of all sorts by their numbers, then that there is
    /// none.
    pub steps: Vec<Vec<f32>>,
}

impl Network {
    /// The network that ships with the program.
    pub fn shipped() -> Network {
        Network::of(SHIPPED)
    }

    /// A network of weights in halves, as the training writes them; what is missing counts as 0.
    pub fn of(halves: &[u8]) -> Network {
        let mut halves = Halves(halves);
        let plane = PLANE.map(|(into, out, _)| halves.layer((out, into), (3, 3), 1)).to_vec();
        let folded = PLANE[PLANE.len() - 1].1 * HEIGHT;
        let fold = halves.layer((ALONG, folded), (1, 1), 1);
        let along = APART.map(|apart| halves.layer((ALONG, ALONG), (1, REACH), apart)).to_vec();
        let outputs = halves.take(OUTPUTS * ALONG);
        let bias = halves.take(OUTPUTS);
        Network { plane, fold, along, outputs, bias }
    }

    /// The odds of all sorts on a staff that was laid out; none where it is too short for any.
    pub fn odds(&self, laid: &GrayImage) -> Odds {
        let steps = self.raw(laid).iter().map(|outputs| joined(outputs)).collect();
        Odds { steps }
    }

    /// The outputs for each step: that there is nothing, the kinds, the places.
    pub fn raw(&self, laid: &GrayImage) -> Vec<Vec<f32>> {
        if laid.height() as usize != ROWS || (laid.width() as usize) < SHORTEST {
            return Vec::new();
        }
        let mut planes = ink(laid);
        for (layer, (_, _, (rows, columns))) in self.plane.iter().zip(PLANE) {
            planes = planes.thinned(rows, columns).through(layer);
        }
        let mut line = planes.flat().through(&self.fold);
        for layer in &self.along {
            let more = line.through(layer);
            for (value, more) in line.values.iter_mut().zip(more.values) {
                *value += more;
            }
        }
        let output = |step: usize, number: usize| {
            let weights = &self.outputs[number * ALONG..(number + 1) * ALONG];
            let seen = line.values[step..].iter().step_by(line.columns);
            self.bias[number]
                + weights.iter().zip(seen).map(|(weight, seen)| weight * seen).sum::<f32>()
        };
        (0..line.columns)
            .map(|step| (0..OUTPUTS).map(|number| output(step, number)).collect())
            .collect()
    }
}

/// A strip as ink: its mean is 0, its deviation 1, and what is darker is more.
fn ink(laid: &GrayImage) -> Planes {
    let light: Vec<f32> = laid.as_raw().iter().map(|pixel| f32::from(*pixel) / 255.0).collect();
    let count = light.len() as f64;
    let mean = light.iter().map(|light| f64::from(*light)).sum::<f64>() / count;
    let spread = light.iter().map(|light| (f64::from(*light) - mean).powi(2)).sum::<f64>() / count;
    let (mean, deviation) = (mean as f32, spread.sqrt() as f32 + SMALL);
    let values = light.iter().map(|light| (mean - light) / deviation).collect();
    Planes { channels: 1, rows: ROWS, columns: laid.width() as usize, values }
}

/// The odds of all sorts: those of its kind and its place together.
fn joined(outputs: &[f32]) -> Vec<f32> {
    let (nothing, rest) = outputs.split_at(1);
    let (kinds, places) = rest.split_at(Kind::ALL.len());
    let (placed, others) = kinds.split_at(Kind::PLACED);
    let mut odds = Vec::with_capacity(Sort::COUNT + 1);
    for kind in placed {
        odds.extend(places.iter().map(|place| kind + place));
    }
    odds.extend_from_slice(others);
    odds.extend_from_slice(nothing);
    let most = odds.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    let all = most + odds.iter().map(|one| (one - most).exp()).sum::<f32>().ln();
    for one in &mut odds {
        *one -= all;
    }
    odds
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_weights_are_used() {
        let layer = |layer: &Layer| layer.weights.len() + 4 * layer.channels.0;
        let network = Network::shipped();
        let layers = network.plane.iter().chain([&network.fold]).chain(&network.along);
        let count = layers.map(layer).sum::<usize>() + network.outputs.len() + network.bias.len();
        assert_eq!(SHIPPED.len(), 2 * count);
    }

    #[test]
    fn odds_are_those_of_kind_and_place_together() {
        let mut outputs = vec![0.0; OUTPUTS];
        // The first kind, at the second place.
        outputs[1] = 9.0;
        outputs[1 + Kind::ALL.len() + 1] = 9.0;
        let odds = joined(&outputs);
        let best = (0..odds.len()).max_by(|a, b| odds[*a].total_cmp(&odds[*b]));
        assert_eq!(best, Some(1));
        assert!((odds.iter().map(|odds| odds.exp()).sum::<f32>() - 1.0).abs() < 1e-4);
    }

    #[test]
    fn what_is_too_short_is_not_read() {
        let network = Network::shipped();
        assert!(network.odds(&GrayImage::new(4, ROWS as u32)).steps.is_empty());
        assert!(network.odds(&GrayImage::new(40, 20)).steps.is_empty());
        assert_eq!(network.odds(&GrayImage::new(41, ROWS as u32)).steps.len(), 10);
    }
}
