//! Spectra, by a library for Fourier transforms.

use std::f64::consts::TAU;

use rustfft::FftPlanner;
use rustfft::num_complex::Complex;

use crate::music::RATE;

/// Samples of a transform: about three quarters of a second.
pub(crate) const LENGTH: usize = 32_768;

/// The spectrum of [`LENGTH`] samples, without its mirror image. The window is that of four terms of
/// Fredric J. Harris ("On the Use of Windows", *Proceedings of the IEEE* 66 (1978)), whose side lobes are
/// 92 dB below; a sine of amplitude 1 has the magnitude 1.
pub(crate) fn spectrum(samples: &[f64]) -> Vec<Complex<f64>> {
    const TERMS: [f64; 4] = [0.358_75, -0.488_29, 0.141_28, -0.011_68];
    let window = |place: usize| {
        let turn = TAU * place as f64 / LENGTH as f64;
        TERMS
            .iter()
            .enumerate()
            .map(|(term, weight)| weight * (turn * term as f64).cos())
            .sum::<f64>()
    };
    let mut values: Vec<Complex<f64>> = samples[..LENGTH]
        .iter()
        .enumerate()
        .map(|(place, sample)| Complex::new(sample * window(place), 0.0))
        .collect();
    FftPlanner::new().plan_fft_forward(LENGTH).process(&mut values);
    values.truncate(LENGTH / 2);
    let scale = 2.0 / (LENGTH as f64 * TERMS[0]);
    values.iter().map(|value| value * scale).collect()
}

/// The bin of a frequency.
pub(crate) fn bin(frequency: f64) -> f64 {
    frequency * LENGTH as f64 / RATE
}

/// The frequency of a partial near one that is expected, by how far its phase has gone a little later.
pub(crate) fn frequency(samples: &[f64], near: f64) -> f64 {
    const LATER: usize = 4096;
    let place = bin(near).round() as usize;
    let phases = [0, LATER].map(|from| spectrum(&samples[from..])[place].arg());
    let turns = near * LATER as f64 / RATE;
    let gone = (phases[1] - phases[0]) / TAU;
    (gone + (turns - gone).round()) * RATE / LATER as f64
}

/// How many cents one frequency is above another.
pub(crate) fn cents(one: f64, other: f64) -> f64 {
    1200.0 * (one / other).log2()
}

/// Decibels of an amplitude.
pub(crate) fn decibels(amplitude: f64) -> f64 {
    20.0 * amplitude.max(1e-30).log10()
}
