//! A plain tone: a few partials, so that beats are heard, and nothing else.

use super::partials::{Partial, Partials};

/// How long it fades, in seconds.
pub(super) const RELEASE: f64 = 0.05;

/// How long it rises.
const ATTACK: f64 = 0.03;

/// The amplitudes of its partials: as the square of their number, so that those that coincide in a fifth
/// or a third are heard to beat, and the tone is still soft.
const PARTIALS: [f64; 6] = [1.0, 1.0 / 4.0, 1.0 / 9.0, 1.0 / 16.0, 1.0 / 25.0, 1.0 / 36.0];

/// The tone of a frequency.
pub(super) fn partials(frequency: f64, rate: f64) -> Partials {
    let all: f64 = PARTIALS.iter().sum();
    let partial = |(number, amplitude)| Partial {
        frequency: frequency * f64::from(number),
        amplitude: amplitude / all,
        attack: ATTACK,
        chiff: 0.0,
        decay: None,
    };
    Partials::new((1..).zip(PARTIALS).map(partial), rate)
}
