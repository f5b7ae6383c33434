//! The weights of the network, in the order in which the training writes them.

/// What keeps a division by a variance from one by nothing, as in the training.
pub(crate) const SMALL: f32 = 1e-5;

/// A normalisation: of each channel the statistics that it had in training, and what it becomes.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Norm {
    pub(crate) scale: Vec<f32>,
    pub(crate) shift: Vec<f32>,
    pub(crate) mean: Vec<f32>,
    pub(crate) variance: Vec<f32>,
}

impl Norm {
    /// By how much the values of a channel are multiplied, and what is added then.
    pub(crate) fn of_channel(&self, channel: usize) -> (f32, f32) {
        let scale = self.scale[channel] / (self.variance[channel] + SMALL).sqrt();
        (scale, self.shift[channel] - scale * self.mean[channel])
    }

    /// All values, channel by channel, normalised; nothing below 0.
    pub(crate) fn apply(&self, all: &mut [f32]) {
        let size = (all.len() / self.scale.len().max(1)).max(1);
        for (channel, values) in all.chunks_exact_mut(size).enumerate() {
            let (scale, shift) = self.of_channel(channel);
            for value in values {
                *value = (scale * *value + shift).max(0.0);
            }
        }
    }
}

/// A convolution without bias, and the normalisation after it.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Layer {
    /// How many channels come out; go in.
    pub(crate) channels: (usize, usize),
    /// Over how many rows and columns it reaches.
    pub(crate) reach: (usize, usize),
    /// How far apart these columns are.
    pub(crate) apart: usize,
    /// Channel by channel that comes out, by channel that goes in, by row, by column.
    pub(crate) weights: Vec<f32>,
    pub(crate) norm: Norm,
}

impl Layer {
    /// Its weights, and its normalisation, in the order of the file.
    pub(crate) fn parts(&self) -> [&Vec<f32>; 5] {
        let Norm { scale, shift, mean, variance } = &self.norm;
        [&self.weights, scale, shift, mean, variance]
    }

    /// The same, to be changed.
    pub(crate) fn parts_mut(&mut self) -> [&mut Vec<f32>; 5] {
        let Norm { scale, shift, mean, variance } = &mut self.norm;
        [&mut self.weights, scale, shift, mean, variance]
    }
}

/// Weights in halves, one after another.
pub(crate) struct Halves<'b>(pub(crate) &'b [u8]);

impl Halves<'_> {
    /// The next of them; zeros where there are no more.
    pub(crate) fn take(&mut self, count: usize) -> Vec<f32> {
        let (these, rest) = self.0.split_at((2 * count).min(self.0.len()));
        self.0 = rest;
        let mut taken: Vec<f32> = these
            .chunks_exact(2)
            .map(|pair| single(u16::from_le_bytes([pair[0], pair[1]])))
            .collect();
        taken.resize(count, 0.0);
        taken
    }

    /// The next layer.
    pub(crate) fn layer(
        &mut self,
        channels: (usize, usize),
        reach: (usize, usize),
        apart: usize,
    ) -> Layer {
        let (out, into) = channels;
        let weights = self.take(out * into * reach.0 * reach.1);
        let [scale, shift, mean, variance] = [(); 4].map(|()| self.take(out));
        Layer { channels, reach, apart, weights, norm: Norm { scale, shift, mean, variance } }
    }
}

/// A half (IEEE 754, binary16) as a single.
fn single(half: u16) -> f32 {
    let sign = if half & 0x8000 == 0 { 1.0 } else { -1.0 };
    let (exponent, fraction) = (i32::from(half >> 10 & 0x1f), f32::from(half & 0x3ff));
    let size = match exponent {
        0 => fraction * 2_f32.powi(-24),
        31 => f32::INFINITY,
        _ => (1.0 + fraction / 1024.0) * 2_f32.powi(exponent - 15),
    };
    sign * size
}

/// A single as the nearest half; what is too large for one as the largest.
pub(crate) fn half(single: f32) -> u16 {
    let sign = if single.is_sign_negative() { 0x8000 } else { 0 };
    let size = single.abs().min(65504.0);
    // Halves are in the order of their bits, so the nearest stands beside where the size would.
    let exponent = (size.to_bits() >> 23) as i32 - 127;
    let step = 2_f32.powi(exponent.max(-14) - 10);
    let steps = (size / step).round_ties_even() as u16;
    let above = if exponent < -14 { 0 } else { (exponent + 14) as u16 };
    sign | (steps + (above << 10))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values of the standard: one, a third, the largest, the smallest, and minus two.
    #[test]
    fn halves() {
        let values = [0x3c00, 0x3555, 0x7bff, 0x0001, 0xc000].map(|half| single(half).to_bits());
        let third = 0.333_251_95;
        assert_eq!(values, [1.0, third, 65504.0, 2_f32.powi(-24), -2.0].map(f32::to_bits));
        // Each that is a number, there and back; and what lies between two.
        for bits in (0..=u16::MAX).filter(|bits| bits & 0x7c00 != 0x7c00) {
            assert_eq!(half(single(bits)), bits);
        }
        assert_eq!(half(1.0 / 3.0), 0x3555);
        assert_eq!(half(1e9), 0x7bff);
        let mut halves = Halves(&[0x00, 0x3c]);
        assert_eq!(halves.take(2), [1.0, 0.0]);
    }
}
