//! Partials that sound together: sines of fixed frequencies, each with its own attack.

use std::f64::consts::TAU;

use super::{HIGHEST, smooth};

/// A sine.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Partial {
    /// In hertz.
    pub(super) frequency: f64,
    /// Once it sounds steadily.
    pub(super) amplitude: f64,
    /// Until then, in seconds.
    pub(super) attack: f64,
    /// By how much of its amplitude it is louder while the pipe finds its tone.
    pub(super) chiff: f64,
    /// How fast it dies away by itself: seconds to a thousandth, or nothing for a steady tone.
    pub(super) decay: Option<f64>,
}

impl Partial {
    /// Its amplitude so many seconds after the stroke.
    fn at(&self, seconds: f64) -> f64 {
        let time = seconds / CHIFF;
        let chiff = 1.0 + self.chiff * time * (1.0 - time).exp();
        let decay = self.decay.map_or(1.0, |decay| 1e-3_f64.powf(seconds / decay));
        self.amplitude * smooth(seconds / self.attack) * chiff * decay
    }

    /// From when on it is steady, in seconds.
    fn steady(&self) -> f64 {
        match self.decay {
            Some(_) => f64::INFINITY,
            // There the chiff is below a hundred thousandth.
            None if self.chiff > 0.0 => self.attack.max(16.0 * CHIFF),
            None => self.attack,
        }
    }
}

/// When the chiff is loudest, in seconds.
const CHIFF: f64 = 0.014;

/// Amplitudes are reckoned every so many samples, and go straight in between.
const STEP: u64 = 16;

/// Partials that are reckoned at once.
const LANES: usize = 4;

/// Partials while they sound.
pub(super) struct Partials {
    all: Vec<Partial>,
    groups: Vec<Group>,
    rate: f64,
    age: u64,
    steady: u64,
}

/// Sines by the recurrence sin(n+1)w = 2 cos w · sin nw − sin(n−1)w, whose error stays below a millionth of
/// a millionth for minutes.
#[derive(Clone, Copy)]
struct Group {
    now: [f64; LANES],
    before: [f64; LANES],
    twice_cosine: [f64; LANES],
    gain: [f64; LANES],
    slope: [f64; LANES],
}

impl Partials {
    /// Those that can be heard as they are at that rate.
    pub(super) fn new(partials: impl IntoIterator<Item = Partial>, rate: f64) -> Partials {
        let partials: Vec<Partial> =
            partials.into_iter().filter(|partial| partial.frequency < HIGHEST * rate).collect();
        let group = |partials: &[Partial]| {
            let mut group = Group {
                now: [0.0; LANES],
                before: [0.0; LANES],
                twice_cosine: [0.0; LANES],
                gain: [0.0; LANES],
                slope: [0.0; LANES],
            };
            for (lane, partial) in partials.iter().enumerate() {
                let turn = TAU * partial.frequency / rate;
                group.now[lane] = turn.sin();
                group.twice_cosine[lane] = 2.0 * turn.cos();
            }
            group
        };
        let groups = partials.chunks(LANES).map(group).collect();
        let steady = partials.iter().map(Partial::steady).fold(0.0, f64::max);
        let steady = (steady * rate / STEP as f64).ceil() as u64 * STEP;
        Partials { all: partials, groups, rate, age: 0, steady }
    }

    /// Adds the next samples.
    pub(super) fn add(&mut self, out: &mut [f64]) {
        let mut rest = out;
        while !rest.is_empty() {
            let until = if self.age < self.steady {
                if self.age.is_multiple_of(STEP) {
                    self.aim();
                }
                STEP - self.age % STEP
            } else {
                if self.age == self.steady {
                    self.settle();
                }
                u64::MAX
            };
            let (now, later) = rest.split_at_mut(until.min(rest.len() as u64) as usize);
            for group in &mut self.groups {
                group.add(now);
            }
            self.age += now.len() as u64;
            rest = later;
        }
    }

    /// Amplitudes go where they should be a step later.
    fn aim(&mut self) {
        let seconds = (self.age + STEP) as f64 / self.rate;
        for (group, partials) in self.groups.iter_mut().zip(self.all.chunks(LANES)) {
            for (lane, partial) in partials.iter().enumerate() {
                group.slope[lane] = (partial.at(seconds) - group.gain[lane]) / STEP as f64;
            }
        }
    }

    fn settle(&mut self) {
        for (group, partials) in self.groups.iter_mut().zip(self.all.chunks(LANES)) {
            for (lane, partial) in partials.iter().enumerate() {
                group.gain[lane] = partial.amplitude;
            }
            group.slope = [0.0; LANES];
        }
    }
}

impl Group {
    fn add(&mut self, out: &mut [f64]) {
        let Group { mut now, mut before, twice_cosine, mut gain, slope } = *self;
        for out in out {
            let mut sum = [0.0; LANES];
            for lane in 0..LANES {
                gain[lane] += slope[lane];
                sum[lane] = now[lane] * gain[lane];
                let next = twice_cosine[lane] * now[lane] - before[lane];
                before[lane] = now[lane];
                now[lane] = next;
            }
            *out += sum.iter().sum::<f64>();
        }
        *self = Group { now, before, twice_cosine, gain, slope };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn partial(frequency: f64) -> Partial {
        Partial { frequency, amplitude: 1.0, attack: 0.01, chiff: 0.0, decay: None }
    }

    #[test]
    fn a_sine_stays_a_sine_for_a_minute() {
        let rate = 44_100.0;
        let mut partials = Partials::new([partial(32.7), partial(9000.0)], rate);
        let mut out = vec![0.0; 60 * 44_100];
        partials.add(&mut out);
        let expected = |place: usize| {
            let turn = |frequency: f64| (TAU * frequency * (place + 1) as f64 / rate).sin();
            turn(32.7) + turn(9000.0)
        };
        for (place, found) in out.iter().enumerate().skip(out.len() - 1000) {
            assert!((found - expected(place)).abs() < 1e-8, "{place}");
        }
    }

    #[test]
    fn it_is_the_same_however_it_is_asked_for() {
        let mut whole = vec![0.0; 3000];
        Partials::new([partial(440.0)], 44_100.0).add(&mut whole);
        let mut parts = vec![0.0; 3000];
        let mut partials = Partials::new([partial(440.0)], 44_100.0);
        for part in parts.chunks_mut(7) {
            partials.add(part);
        }
        assert_eq!(whole, parts);
    }

    #[test]
    fn what_would_be_heard_as_another_tone_is_left_out() {
        let mut out = [0.0; 100];
        Partials::new([partial(22_000.0)], 44_100.0).add(&mut out);
        assert!(out.iter().all(|sample| *sample == 0.0));
    }
}
