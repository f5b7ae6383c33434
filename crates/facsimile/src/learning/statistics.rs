//! The statistics of the normalisations, taken from staves of a print without knowing what stands on them.

use image::GrayImage;

use crate::laid::ROWS;
use crate::network::planes::Planes;
use crate::network::{Network, SHORTEST, ink, joined_on, prepared};

/// The mean and the variance of each channel of each layer of one staff, normalised by its own; nothing
/// where it is too short to be read.
pub(super) fn statistics(network: &Network, laid: &GrayImage) -> Option<Statistics> {
    if laid.height() as usize != ROWS || (laid.width() as usize) < SHORTEST {
        return None;
    }
    let mut planes = ink(laid);
    let mut found = Vec::with_capacity(network.layers.len());
    for (number, layer) in network.layers.iter().enumerate() {
        let into = prepared(number, planes);
        let mut out = into.convolved(layer);
        let (own, unbiased) = of_planes(&out);
        let mut norm = layer.norm.clone();
        (norm.mean, norm.variance) = own.clone();
        norm.apply(&mut out.values);
        found.push((own.0, unbiased));
        planes = joined_on(number, into, out);
    }
    Some(Statistics(found))
}

/// Means and variances, for each layer one of each channel.
pub(super) struct Statistics(Vec<(Vec<f32>, Vec<f32>)>);

/// Means and variances of the channels; and the variances as those of a sample (one less in the divisor).
fn of_planes(planes: &Planes) -> ((Vec<f32>, Vec<f32>), Vec<f32>) {
    let size = (planes.rows * planes.columns).max(1);
    let (mut means, mut variances, mut unbiased) = (Vec::new(), Vec::new(), Vec::new());
    for values in planes.values.chunks_exact(size) {
        let count = values.len() as f64;
        let mean = values.iter().map(|value| f64::from(*value)).sum::<f64>() / count;
        let squares = values.iter().map(|value| (f64::from(*value) - mean).powi(2)).sum::<f64>();
        means.push(mean as f32);
        variances.push((squares / count) as f32);
        unbiased.push((squares / (count - 1.0).max(1.0)) as f32);
    }
    ((means, variances), unbiased)
}

/// The statistics that a network has count as much as those of so many staves: a few staves have not much of
/// what a print has.
const BEFORE: f32 = 10.0;

/// The network with the statistics of these staves, each counting alike, beside those that it has.
#[must_use]
pub(super) fn with_statistics(mut network: Network, of_staves: &[Statistics]) -> Network {
    let count = of_staves.len() as f32 + BEFORE;
    for (number, layer) in network.layers.iter_mut().enumerate() {
        let channels = layer.norm.mean.iter_mut().zip(&mut layer.norm.variance);
        for (channel, (mean, variance)) in channels.enumerate() {
            let all = of_staves.iter().map(|staff| &staff.0[number]);
            let means = all.clone().map(|(means, _)| means[channel]).sum::<f32>();
            let variances = all.map(|(_, variances)| variances[channel]).sum::<f32>();
            *mean = (means + BEFORE * *mean) / count;
            *variance = (variances + BEFORE * *variance) / count;
        }
    }
    network
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Thirty staves alike, and as much as ten of what was there before.
    #[test]
    fn staves_count_beside_what_was_there_before() {
        let pixels = (0..ROWS * 80).map(|at| (at * at % 251) as u8).collect();
        let laid = GrayImage::from_raw(80, ROWS as u32, pixels).unwrap();
        let network = Network::shipped();
        let own: Vec<Statistics> = (0..30).filter_map(|_| statistics(&network, &laid)).collect();
        let before = network.layers[0].norm.clone();
        let network = with_statistics(network, &own);
        let now = &network.layers[0].norm;
        let ((means, _), unbiased) = of_planes(&ink(&laid).convolved(&network.layers[0]));
        for channel in 0..means.len() {
            let mean = 0.75 * means[channel] + 0.25 * before.mean[channel];
            let variance = 0.75 * unbiased[channel] + 0.25 * before.variance[channel];
            assert!((now.mean[channel] / mean - 1.0).abs() < 1e-3);
            assert!((now.variance[channel] / variance - 1.0).abs() < 1e-3);
        }
        assert!(statistics(&network, &GrayImage::new(4, ROWS as u32)).is_none());
    }
}
