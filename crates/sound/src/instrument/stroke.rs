//! The stroke that counts in: wood on wood.

use super::partials::{Partial, Partials};
use super::{Source, Tone};

/// The modes of a small block of wood (our own; higher than any voice).
const MODES: [(f64, f64, f64); 3] = [(1.0, 0.20, 0.11), (2.76, 0.06, 0.05), (5.4, 0.02, 0.03)];

/// A stroke; the first of a bar is higher.
pub(crate) fn stroke(strong: bool, rate: f64) -> Tone {
    let frequency = if strong { 1320.0 } else { 990.0 };
    let partial = |(ratio, amplitude, decay): &(f64, f64, f64)| Partial {
        frequency: frequency * ratio,
        amplitude: *amplitude,
        attack: 0.002,
        chiff: 0.0,
        decay: Some(*decay),
    };
    let partials = Partials::new(MODES.iter().map(partial), rate);
    let end = (0.15 * rate) as u64;
    Tone { source: Source::Stroke(partials), age: 0, end, fade: end / 3 }
}
