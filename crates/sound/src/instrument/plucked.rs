//! A plucked string, by a physical model: what travels along it comes back after its period, a little
//! weaker and softer, until the damper falls.
//!
//! David A. Jaffe and Julius O. Smith, "Extensions of the Karplus-Strong Plucked-String Algorithm",
//! *Computer Music Journal* 7/2 (1983): the loop, its losses, and the allpass filter that tunes it
//! exactly.

use std::f64::consts::{PI, TAU};

/// How long a string of about 65 Hz rings, in seconds to a thousandth; shorter ones shorter. (Tuned by
/// looking at the envelopes of rendered notes; of the order of what is measured on such instruments, from
/// memory.)
const RING: f64 = 7.0;

/// How long its brilliance lasts, at [`BRILLIANT`] hertz.
const BRILLIANCE: f64 = 0.55;

/// In hertz.
const BRILLIANT: f64 = 5000.0;

/// The damper: seconds to a thousandth for a string of about 262 Hz.
const DAMPED: f64 = 0.13;

/// How long the damper takes to lie on the string, in seconds.
const FALL: f64 = 0.012;

/// How long a string is heard after its key was let go.
pub(super) fn release(frequency: f64) -> f64 {
    1.6 * damped(frequency)
}

fn damped(frequency: f64) -> f64 {
    DAMPED * (262.0 / frequency).powf(0.3).clamp(0.5, 1.6)
}

/// A string while it sounds.
pub(super) struct PluckedString {
    /// What travels, a whole number of samples.
    line: Vec<f64>,
    place: usize,
    age: u64,
    released: u64,
    quill: Quill,
    /// What a period leaves, free and under the damper.
    gain: f64,
    damped: f64,
    damping: f64,
    soften: OnePole,
    tune: Allpass,
    bridge: Bridge,
    soundboard: Soundboard,
}

impl PluckedString {
    pub(super) fn new(frequency: f64, rate: f64, released: u64) -> PluckedString {
        let turn = TAU * frequency / rate;
        let left = |seconds: f64| 1e-3_f64.powf(1.0 / (frequency * seconds));
        let gain = left(RING * (65.0 / frequency).sqrt().min(1.2));
        let soften = OnePole::new(left(BRILLIANCE) / gain, TAU * BRILLIANT / rate);
        let period = rate / frequency;
        let delay = period - soften.delay(turn);
        // The allpass filter is good for about one sample.
        let whole = (delay - 0.3).floor().max(1.0);
        let tune = Allpass::new(delay - whole, turn);
        PluckedString {
            line: vec![0.0; whole as usize],
            place: 0,
            age: 0,
            released,
            quill: Quill::new(frequency, rate),
            gain,
            damped: left(damped(frequency)) / gain,
            damping: 1.0 / (FALL * rate),
            soften,
            tune,
            bridge: Bridge::new(rate),
            soundboard: Soundboard::new(rate),
        }
    }

    pub(super) fn add(&mut self, out: &mut [f64]) {
        for out in out {
            let fallen = (self.age.saturating_sub(self.released) as f64 * self.damping).min(1.0);
            let gain = self.gain * (1.0 + (self.damped - 1.0) * fallen);
            let back = self.tune.next(self.soften.next(self.line[self.place])) * gain;
            let now = back + self.quill.at(self.age);
            self.line[self.place] = now;
            self.place += 1;
            if self.place == self.line.len() {
                self.place = 0;
            }
            self.age += 1;
            *out += self.soundboard.next(self.bridge.next(now));
        }
    }
}

/// The quill: it lets the string go at a point, from which one wave runs to the bridge, and another, upside
/// down, after it has been to the other end. That leaves out the partials that have a node there, and no
/// constant pull.
struct Quill {
    loudness: f64,
    /// How long a wave is, in samples: a quill is not a needle.
    width: f64,
    /// How much later the second comes.
    later: f64,
    /// How high it is, of the first.
    second: f64,
}

impl Quill {
    fn new(frequency: f64, rate: f64) -> Quill {
        let octaves = (frequency / 262.0).log2();
        // From a ninth of the string in the bass to a third in the treble (common practice of makers).
        let point = (0.16 * (0.4 * octaves).exp2()).clamp(0.09, 0.34);
        let width = (0.000_32 * (-0.2 * octaves).exp2()).min(0.45 / frequency);
        let mut quill = Quill {
            loudness: 0.8 * (-0.2 * octaves).exp2().clamp(0.4, 1.0),
            width: width * rate,
            later: point * rate / frequency,
            second: 1.0,
        };
        // Samples hit the two waves at different places; still nothing constant may be left, which would
        // ring in the string for long.
        let sum = |later: f64| {
            let samples = 0..(later + quill.width) as u64 + 1;
            samples.map(|age| quill.wave(age, later)).sum::<f64>()
        };
        quill.second = sum(0.0) / sum(quill.later);
        quill
    }

    fn at(&self, age: u64) -> f64 {
        self.loudness * (self.wave(age, 0.0) - self.second * self.wave(age, self.later))
    }

    /// A wave that comes so many samples later.
    fn wave(&self, age: u64, later: f64) -> f64 {
        let age = (age + 1) as f64 - later;
        let within = age > 0.0 && age < self.width;
        if within { (PI * age / self.width).sin().powi(2) } else { 0.0 }
    }
}

/// The bridge: a string that is pulled aside for long is not heard. (Julius O. Smith, *Introduction to
/// Digital Filters*, on the DC blocker.)
struct Bridge {
    pole: f64,
    input: f64,
    output: f64,
}

impl Bridge {
    /// Below so many hertz less and less is heard.
    const LOWEST: f64 = 16.0;

    fn new(rate: f64) -> Bridge {
        Bridge { pole: 1.0 - TAU * Bridge::LOWEST / rate, input: 0.0, output: 0.0 }
    }

    fn next(&mut self, input: f64) -> f64 {
        self.output = input - self.input + self.pole * self.output;
        self.input = input;
        self.output
    }
}

/// The soundboard: waves run about in it before they leave it, so that what came at once is heard as a
/// body, and not as a row of pricks. The spectrum stays as it is (Schroeder 1962, as in the room).
struct Soundboard([(Vec<f64>, usize); 4]);

impl Soundboard {
    /// How long waves run, in milliseconds: the ways across a board of half a metre.
    const WAYS: [f64; 4] = [0.37, 0.83, 1.61, 2.93];

    /// What of them comes back.
    const BACK: f64 = 0.58;

    /// By how much it is louder than a string, whose wave it spreads.
    const LOUDNESS: f64 = 1.75;

    fn new(rate: f64) -> Soundboard {
        let line = |way: f64| vec![0.0; (way * rate / 1000.0).round().max(1.0) as usize];
        Soundboard(Soundboard::WAYS.map(|way| (line(way), 0)))
    }

    fn next(&mut self, input: f64) -> f64 {
        let mut now = input * Soundboard::LOUDNESS;
        for (line, place) in &mut self.0 {
            let delayed = line[*place];
            let kept = now + Soundboard::BACK * delayed;
            line[*place] = kept;
            *place = if *place + 1 == line.len() { 0 } else { *place + 1 };
            now = delayed - Soundboard::BACK * kept;
        }
        now
    }
}

/// A loss that grows with frequency, and leaves the lowest as it is.
struct OnePole {
    pole: f64,
    before: f64,
}

impl OnePole {
    /// The filter that leaves so much at so many radians a sample.
    fn new(left: f64, turn: f64) -> OnePole {
        let square = left * left;
        let pole = if square >= 1.0 || turn >= PI {
            0.0
        } else {
            // (1 - p)² = left² (1 - 2 p cos + p²), solved for p.
            let (half, whole) = (1.0 - square * turn.cos(), 1.0 - square);
            (half - (half * half - whole * whole).sqrt()) / whole
        };
        OnePole { pole, before: 0.0 }
    }

    fn next(&mut self, now: f64) -> f64 {
        self.before = now + self.pole * (self.before - now);
        self.before
    }

    /// How many samples late it is at so many radians a sample.
    fn delay(&self, turn: f64) -> f64 {
        (self.pole * turn.sin()).atan2(1.0 - self.pole * turn.cos()) / turn
    }
}

/// A delay that is no whole number of samples.
struct Allpass {
    coefficient: f64,
    input: f64,
    output: f64,
}

impl Allpass {
    /// The filter that is so many samples late at so many radians a sample, exactly.
    fn new(delay: f64, turn: f64) -> Allpass {
        let coefficient = ((1.0 - delay) * turn / 2.0).sin() / ((1.0 + delay) * turn / 2.0).sin();
        Allpass { coefficient, input: 0.0, output: 0.0 }
    }

    fn next(&mut self, input: f64) -> f64 {
        self.output = self.coefficient * (input - self.output) + self.input;
        self.input = input;
        self.output
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The phase of a filter of the loop, by its answer to an impulse: a discrete Fourier sum.
    fn delay(mut filter: impl FnMut(f64) -> f64, turn: f64) -> f64 {
        let (mut real, mut imaginary) = (0.0, 0.0);
        for place in 0..10_000 {
            let answer = filter(if place == 0 { 1.0 } else { 0.0 });
            real += answer * (turn * f64::from(place)).cos();
            imaginary -= answer * (turn * f64::from(place)).sin();
        }
        -imaginary.atan2(real) / turn
    }

    #[test]
    fn filters_are_as_late_as_they_say() {
        for turn in [0.01, 0.1, 0.4] {
            for late in [0.3, 0.8, 1.25] {
                let mut filter = Allpass::new(late, turn);
                assert!((delay(|x| filter.next(x), turn) - late).abs() < 1e-9, "{turn} {late}");
            }
            let mut filter = OnePole { pole: 0.3, before: 0.0 };
            let late = filter.delay(turn);
            assert!((delay(|x| filter.next(x), turn) - late).abs() < 1e-9, "{turn}");
        }
    }

    #[test]
    fn a_loss_is_what_was_asked_for() {
        let (left, turn) = (0.8, 0.7);
        let pole = OnePole::new(left, turn).pole;
        let found = (1.0 - pole) / (1.0 - 2.0 * pole * f64::cos(turn) + pole * pole).sqrt();
        assert!((found - left).abs() < 1e-12);
    }

    #[test]
    fn what_rings_dies_away() {
        for frequency in [16.0, 65.4, 261.6, 1046.5, 4186.0, 12_000.0] {
            let mut out = vec![0.0; 44_100 * 12];
            PluckedString::new(frequency, 44_100.0, u64::MAX).add(&mut out);
            let loudest = |part: &[f64]| part.iter().fold(0.0_f64, |most, now| most.max(now.abs()));
            let (first, last) = (loudest(&out[..44_100]), loudest(&out[44_100 * 11..]));
            assert!(first <= 1.0 && last < 0.03 * first, "{frequency}: {first} {last}");
        }
    }
}
