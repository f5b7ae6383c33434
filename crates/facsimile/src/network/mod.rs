//! The network that reads laid-out staves: convolutions over the picture, convolutions along the line, and
//! for each step of four columns the odds of every sort.
//!
//! `crates/facsimile/training` trains it and says how; `learning` has it go on for one print.

pub(crate) mod planes;
pub(crate) mod weights;

use image::GrayImage;

use crate::laid::ROWS;
use crate::sort::{Kind, PLACE_COUNT, Sort};
use planes::Planes;
use weights::{Halves, Layer};

/// The weights that ship: they have seen drawn strips alone.
const SHIPPED: &[u8] = include_bytes!("drawn.f16");

/// With this the file of a print's style begins; the number goes up when the network is another.
const STYLE: &[u8] = b"cartella print style 1\n";

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
pub(crate) const ALONG: usize = 128;
const REACH: usize = 5;
const APART: [usize; 4] = [1, 1, 2, 2];

/// What comes out: that there is nothing, all kinds, all places.
pub(crate) const OUTPUTS: usize = 1 + Kind::ALL.len() + PLACE_COUNT;

/// How many columns of a strip a step is.
pub(crate) const STEP: usize = 4;

/// No shorter strip is read, in columns.
pub(crate) const SHORTEST: usize = 16;

/// What keeps a division by the deviation of a strip from one by nothing, as in the training.
const SMALL: f32 = 1e-3;

/// A network that reads staves.
#[derive(Clone)]
pub struct Network {
    /// In order: [`PLANE`], the one that folds rows into channels, and [`APART`].
    pub(crate) layers: Vec<Layer>,
    pub(crate) outputs: Vec<f32>,
    pub(crate) bias: Vec<f32>,
}

/// The odds of every sort, step by step.
pub struct Odds {
    /// For each step the natural logarithms of the odds: of all sorts by their numbers, then that there is
    /// none.
    pub steps: Vec<Vec<f32>>,
}

#[cfg(test)]
impl Odds {
    /// For each step how likely some sorts are, by their numbers, and any other.
    pub(crate) fn of_parts(steps: &[&[(usize, f32)]], other: f32) -> Odds {
        let step = |likely: &&[(usize, f32)]| {
            let mut step = vec![other.ln(); Sort::COUNT + 1];
            for (number, part) in *likely {
                step[*number] = part.ln();
            }
            step
        };
        Odds { steps: steps.iter().map(step).collect() }
    }
}

impl Network {
    /// The network that ships with the program.
    pub fn shipped() -> Network {
        Network::of(SHIPPED)
    }

    /// A network of weights in halves, as the training writes them; what is missing counts as 0.
    pub fn of(halves: &[u8]) -> Network {
        let mut halves = Halves(halves);
        let folded = PLANE[PLANE.len() - 1].1 * HEIGHT;
        let plane = PLANE.map(|(into, out, _)| ((out, into), (3, 3), 1));
        let along = APART.map(|apart| ((ALONG, ALONG), (1, REACH), apart));
        let all = plane.into_iter().chain([((ALONG, folded), (1, 1), 1)]).chain(along);
        let layers =
            all.map(|(channels, reach, apart)| halves.layer(channels, reach, apart)).collect();
        let outputs = halves.take(OUTPUTS * ALONG);
        let bias = halves.take(OUTPUTS);
        Network { layers, outputs, bias }
    }

    /// A network that learned a print, from the bytes of its file; nothing where they are none.
    pub fn of_style(style: &[u8]) -> Option<Network> {
        let halves = style.strip_prefix(STYLE)?;
        let network = Network::of(halves);
        let is_whole = halves.len() == SHIPPED.len();
        let are_numbers = network.parts().flatten().all(|weight| weight.is_finite());
        let mut variances = network.layers.iter().flat_map(|layer| &layer.norm.variance);
        let can_be = variances.all(|variance| *variance >= 0.0);
        (is_whole && are_numbers && can_be).then_some(network)
    }

    /// The network as the bytes of a file.
    pub fn style(&self) -> Vec<u8> {
        let halves = self.parts().flatten().flat_map(|weight| weights::half(*weight).to_le_bytes());
        STYLE.iter().copied().chain(halves).collect()
    }

    /// Its weights and statistics, in the order of the file.
    pub(crate) fn parts(&self) -> impl Iterator<Item = &Vec<f32>> {
        self.layers.iter().flat_map(Layer::parts).chain([&self.outputs, &self.bias])
    }

    /// The same, to be changed.
    pub(crate) fn parts_mut(&mut self) -> impl Iterator<Item = &mut Vec<f32>> {
        let layers = self.layers.iter_mut().flat_map(Layer::parts_mut);
        layers.chain([&mut self.outputs, &mut self.bias])
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
        for (number, layer) in self.layers.iter().enumerate() {
            let into = prepared(number, planes);
            let mut out = into.convolved(layer);
            layer.norm.apply(&mut out.values);
            planes = joined_on(number, into, out);
        }
        self.put_out(&planes)
    }

    /// The outputs for each step of the last layer.
    pub(crate) fn put_out(&self, line: &Planes) -> Vec<Vec<f32>> {
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

/// What a layer sees of that before: thinned out, or with its rows as channels.
pub(crate) fn prepared(number: usize, planes: Planes) -> Planes {
    match PLANE.get(number) {
        Some((_, _, (rows, columns))) => planes.thinned(*rows, *columns),
        None => planes.flat(),
    }
}

/// Whether what a layer makes is added to what it sees.
pub(crate) fn is_added(number: usize) -> bool {
    number > PLANE.len()
}

/// What goes on from a layer.
pub(crate) fn joined_on(number: usize, into: Planes, mut out: Planes) -> Planes {
    if is_added(number) {
        for (value, more) in out.values.iter_mut().zip(into.values) {
            *value += more;
        }
    }
    out
}

/// A strip as ink: its mean is 0, its deviation 1, and what is darker is more.
pub(crate) fn ink(laid: &GrayImage) -> Planes {
    let light: Vec<f32> = laid.as_raw().iter().map(|pixel| f32::from(*pixel) / 255.0).collect();
    normalised(&light)
}

/// Lightness from 0 to 1, row by row, as ink.
pub(crate) fn normalised(light: &[f32]) -> Planes {
    let count = light.len() as f64;
    let mean = light.iter().map(|light| f64::from(*light)).sum::<f64>() / count;
    let spread = light.iter().map(|light| (f64::from(*light) - mean).powi(2)).sum::<f64>() / count;
    let (mean, deviation) = (mean as f32, spread.sqrt() as f32 + SMALL);
    let values = light.iter().map(|light| (mean - light) / deviation).collect();
    Planes { channels: 1, rows: ROWS, columns: light.len() / ROWS, values }
}

/// The odds of all sorts: those of its kind and its place together.
pub(crate) fn joined(outputs: &[f32]) -> Vec<f32> {
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

/// What belongs to each sort, as what belongs to the outputs of which its odds are the sum.
pub(crate) fn parted(sorts: &[f32]) -> Vec<f32> {
    let mut outputs = vec![0.0; OUTPUTS];
    let (placed, others) = sorts.split_at(Kind::PLACED * PLACE_COUNT);
    for (kind, places) in placed.chunks_exact(PLACE_COUNT).enumerate() {
        for (place, value) in places.iter().enumerate() {
            outputs[1 + kind] += value;
            outputs[1 + Kind::ALL.len() + place] += value;
        }
    }
    let (others, nothing) = others.split_at(others.len() - 1);
    outputs[1 + Kind::PLACED..=Kind::ALL.len()].copy_from_slice(others);
    outputs[0] = nothing[0];
    outputs
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_weights_are_used() {
        let network = Network::shipped();
        assert_eq!(SHIPPED.len(), 2 * network.parts().map(Vec::len).sum::<usize>());
    }

    #[test]
    fn a_style_is_read_as_it_was_written() {
        let network = Network::shipped();
        let style = network.style();
        assert_eq!(&style[STYLE.len()..], SHIPPED);
        let read = Network::of_style(&style).unwrap();
        assert!(read.parts().eq(network.parts()));
        assert!(Network::of_style(&style[1..]).is_none());
        assert!(Network::of_style(&style[..style.len() - 2]).is_none());
        let mut infinite = style;
        infinite[STYLE.len()..STYLE.len() + 2].copy_from_slice(&[0x00, 0x7c]);
        assert!(Network::of_style(&infinite).is_none());
        let mut negative = network;
        negative.layers[3].norm.variance[0] = -1.0;
        assert!(Network::of_style(&negative.style()).is_none());
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
    fn what_belongs_to_sorts_belongs_to_their_kinds_and_places() {
        let mut sorts = vec![0.0; Sort::COUNT + 1];
        sorts[PLACE_COUNT + 3] = 1.0;
        sorts[Kind::PLACED * PLACE_COUNT] = 2.0;
        sorts[Sort::COUNT] = 4.0;
        let outputs = parted(&sorts);
        let kinds = 1 + Kind::ALL.len();
        assert_eq!(
            [outputs[2], outputs[kinds + 3]].map(f32::to_bits),
            [1.0_f32; 2].map(f32::to_bits)
        );
        assert_eq!(
            [outputs[1 + Kind::PLACED], outputs[0]].map(f32::to_bits),
            [2.0, 4.0].map(f32::to_bits)
        );
        assert!((outputs.iter().sum::<f32>() - 8.0).abs() < 1e-6);
    }

    #[test]
    fn what_is_too_short_is_not_read() {
        let network = Network::shipped();
        assert!(network.odds(&GrayImage::new(4, ROWS as u32)).steps.is_empty());
        assert!(network.odds(&GrayImage::new(40, 20)).steps.is_empty());
        assert_eq!(network.odds(&GrayImage::new(41, ROWS as u32)).steps.len(), 10);
    }
}
