//! The weights of the network, in the order in which the training writes them.

/// What keeps a division by a variance from one by nothing, as in the training.
const SMALL: f32 = 1e-5;

/// A normalisation: of each channel the statistics that it had in training, and what it becomes.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Norm {
    pub(crate) scale: Vec<f32>,
    pub(crate) shift: Vec<f32>,
    pub(crate) mean: Vec<f32>,
    pub(crate) variance: Vec<f32>,
}

impl Norm {
    /// A value of a channel, normalised; nothing below 0.
    pub(crate) fn apply(&self, channel: usize, values: &mut [f32]) {
        let scale = self.scale[channel] / (self.variance[channel] + SMALL).sqrt();
        let shift = self.shift[channel] - scale * self.mean[channel];
        for value in values {
            *value = (scale * *value + shift).max(0.0);
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Values of the standard: one, a third, the largest, the smallest, and minus two.
    #[test]
    fn halves() {
        let values = [0x3c00, 0x3555, 0x7bff, 0x0001, 0xc000].map(|half| single(half).to_bits());
        let third = 0.333_251_95;
        assert_eq!(values, [1.0, third, 65504.0, 2_f32.powi(-24), -2.0].map(f32::to_bits));
        let mut halves = Halves(&[0x00, 0x3c]);
        assert_eq!(halves.take(2), [1.0, 0.0]);
    }
}
