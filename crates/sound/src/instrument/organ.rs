//! A small positive organ, by additive synthesis: every pipe is a row of partials that speak one after
//! another, with a breath of wind.
//!
//! The spectra are our own, of the kind that is described for such pipes: a stopped pipe has mostly odd
//! partials, an open flute few, a principal more; high partials, the twelfth of a stopped pipe above all,
//! speak before the fundamental does, which is the chiff (Arthur H. Benade, *Fundamentals of Musical
//! Acoustics*, New York 1976, on flue pipes; from memory).

use std::f64::consts::TAU;

use super::partials::{Partial, Partials};

/// A stop, by the length of its longest pipe in feet.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Stop {
    /// A stopped flute at the pitch of the keys.
    Eight,
    /// An open flute an octave higher.
    Four,
    /// A principal two octaves higher.
    Two,
}

impl Stop {
    /// All of them.
    pub const ALL: [Stop; 3] = [Stop::Eight, Stop::Four, Stop::Two];

    /// Its feet: 8, 4 or 2.
    pub fn feet(self) -> u8 {
        match self {
            Stop::Eight => 8,
            Stop::Four => 4,
            Stop::Two => 2,
        }
    }

    /// How many times as fast its pipes speak as the key says.
    fn octave(self) -> f64 {
        match self {
            Stop::Eight => 1.0,
            Stop::Four => 2.0,
            Stop::Two => 4.0,
        }
    }

    /// The amplitudes of the partials of a pipe in the middle of the keyboard.
    fn partials(self) -> &'static [f64] {
        match self {
            Stop::Eight => &[0.60, 0.035, 0.17, 0.018, 0.05, 0.008, 0.016],
            Stop::Four => &[0.26, 0.085, 0.035, 0.014, 0.006],
            Stop::Two => &[0.12, 0.065, 0.040, 0.022, 0.012, 0.006],
        }
    }

    /// By how much a partial is louder while the pipe speaks.
    fn chiff(self, number: usize) -> f64 {
        match (self, number) {
            (Stop::Eight, 3) => 1.6,
            (Stop::Eight, 5) => 2.2,
            (Stop::Eight, 2) | (Stop::Four, 3) => 1.5,
            (Stop::Four, 2) => 0.9,
            (Stop::Two, 2) => 0.5,
            _ => 0.0,
        }
    }
}

/// How many hertz middle C has, about, where pipes are as in the tables.
const MIDDLE: f64 = 262.0;

/// No two pipes agree altogether: so many cents at most between a stop and the one of 8 feet, which is
/// heard as a slow change of colour.
const ASTRAY: f64 = 0.25;

/// How long a pipe fades when its key is let go, in seconds: a long one longer.
pub(super) fn release(frequency: f64) -> f64 {
    (0.06 * (MIDDLE / frequency).sqrt()).clamp(0.035, 0.11)
}

/// The pipes of a key while they sound.
pub(super) struct Pipes {
    partials: Partials,
    wind: Wind,
}

impl Pipes {
    pub(super) fn new(stops: &[Stop], frequency: f64, rate: f64) -> Pipes {
        let mut stops = stops.to_vec();
        stops.sort_unstable();
        stops.dedup();
        let partials = stops.iter().flat_map(|stop| pipe(*stop, frequency));
        let partials = Partials::new(partials, rate);
        // Where 4 feet alone are drawn, their wind is that of shorter pipes.
        let octave = stops.first().map_or(1.0, |stop| stop.octave());
        let level = if stops.is_empty() { 0.0 } else { WIND };
        Pipes { partials, wind: Wind::new(frequency * octave, level, rate) }
    }

    pub(super) fn add(&mut self, out: &mut [f64]) {
        self.partials.add(out);
        self.wind.add(out);
    }
}

/// The partials of a pipe.
fn pipe(stop: Stop, key: f64) -> impl Iterator<Item = Partial> {
    let octaves = (key / MIDDLE).log2();
    let astray = match stop {
        Stop::Eight => 0.0,
        Stop::Four | Stop::Two => astray(key * stop.octave()),
    };
    let frequency = key * stop.octave() * (astray / 1200.0).exp2();
    // Long pipes are narrow for their length, and rich; short ones are wide, and flute-like.
    let richness = (-0.35 * octaves).exp2().clamp(0.4, 1.5);
    let loudness = (-0.15 * octaves).exp2().clamp(0.5, 1.0);
    let attack = (0.055 * (-0.45 * octaves).exp2()).clamp(0.02, 0.12);
    stop.partials().iter().zip(1..).map(move |(amplitude, number)| Partial {
        frequency: frequency * f64::from(number),
        amplitude: amplitude * loudness * richness.powi(number - 1),
        attack: attack / f64::from(number).sqrt(),
        chiff: stop.chiff(number as usize),
        decay: None,
    })
}

/// How many cents a pipe is astray; always the same for the same pipe.
fn astray(frequency: f64) -> f64 {
    // The golden ratio spreads the pipes evenly.
    ((frequency.log2() * 12.0 * 0.618_034).fract() * 2.0 - 1.0) * ASTRAY
}

/// How loud the wind is once the pipe speaks, of full amplitude.
const WIND: f64 = 0.000_35;

/// By how much it is louder at the stroke.
const PUFF: f64 = 24.0;

/// How fast that passes, in seconds.
const PUFF_TIME: f64 = 0.022;

/// The breath of the wind at the mouth of a pipe: noise about its second partial.
struct Wind {
    random: u64,
    level: f64,
    rate: f64,
    age: u64,
    gain: f64,
    slope: f64,
    // A resonance (Julius O. Smith, Introduction to Digital Filters, on two-pole filters).
    twice_cosine: f64,
    radius: f64,
    now: f64,
    before: f64,
}

/// The wind is reckoned every so many samples, as partials are.
const STEP: u64 = 32;

impl Wind {
    fn new(frequency: f64, level: f64, rate: f64) -> Wind {
        let centre = (2.0 * frequency).min(0.2 * rate);
        // Three semitones wide or so.
        let radius = (-TAU / 2.0 * 0.4 * centre / rate).exp();
        let turn = TAU * centre / rate;
        Wind {
            random: frequency.to_bits() | 1,
            level: level * (1.0 - radius * radius),
            rate,
            age: 0,
            gain: 0.0,
            slope: 0.0,
            twice_cosine: 2.0 * radius * turn.cos(),
            radius: radius * radius,
            now: 0.0,
            before: 0.0,
        }
    }

    fn add(&mut self, out: &mut [f64]) {
        for out in out {
            if self.age.is_multiple_of(STEP) {
                let seconds = (self.age + STEP) as f64 / self.rate;
                let rise = super::smooth(seconds / 0.012);
                let aim = self.level * rise * (1.0 + PUFF * (-seconds / PUFF_TIME).exp()) * 8.0;
                self.slope = (aim - self.gain) / STEP as f64;
            }
            self.age += 1;
            self.gain += self.slope;
            // Donald E. Knuth's generator (MMIX).
            self.random = self
                .random
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            let noise = f64::from((self.random >> 32) as u32 as i32) / 2_147_483_648.0;
            let next = noise + self.twice_cosine * self.now - self.radius * self.before;
            // The difference takes away what is far below.
            *out += (next - self.before) * self.gain;
            self.before = self.now;
            self.now = next;
        }
    }
}
