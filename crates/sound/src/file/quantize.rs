//! Sixteen bits a sample, with the little noise that makes of the rounding a hiss below hearing instead of
//! a distortion of soft tones (Stanley P. Lipshitz, Robert A. Wannamaker and John Vanderkooy,
//! "Quantization and Dither: A Theoretical Survey", *Journal of the Audio Engineering Society* 40 (1992)).

use crate::render::{Frame, is_silent};

/// Bits of a sample.
pub(super) const BITS: usize = 16;

/// Rounds samples; the same samples are always rounded alike.
pub(super) struct Quantizer {
    random: u32,
}

impl Quantizer {
    pub(super) fn new() -> Quantizer {
        Quantizer { random: 1 }
    }

    /// Left and right. Silence stays silent.
    pub(super) fn frame(&mut self, frame: Frame) -> [i16; 2] {
        if is_silent(&frame) {
            return [0; 2];
        }
        frame.map(|sample| {
            let noise = self.noise() + self.noise();
            // `as` keeps what is beyond within the range.
            (sample * f64::from(i16::MAX) + noise).round() as i16
        })
    }

    /// Evenly spread from -1/2 to 1/2.
    fn noise(&mut self) -> f64 {
        // George Marsaglia, "Xorshift RNGs", Journal of Statistical Software 8 (2003).
        self.random ^= self.random << 13;
        self.random ^= self.random >> 17;
        self.random ^= self.random << 5;
        f64::from(self.random) / f64::from(u32::MAX) - 0.5
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounding_leaves_no_bias_and_silence_alone() {
        let mut quantizer = Quantizer::new();
        assert_eq!(quantizer.frame([0.0; 2]), [0, 0]);
        let soft = 0.3 / 32_767.0;
        let sum: i64 = (0..200_000).map(|_| i64::from(quantizer.frame([soft; 2])[0])).sum();
        // A third of a step is kept on average.
        assert!((sum as f64 / 200_000.0 - 0.3).abs() < 0.01, "{sum}");
        assert_eq!(quantizer.frame([2.0, -2.0]), [i16::MAX, i16::MIN]);
    }
}
