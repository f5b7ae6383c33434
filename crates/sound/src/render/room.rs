//! A little room: echoes that come back ever denser and softer.
//!
//! A network of delays that feed one another, after a few allpass filters that make echoes denser
//! (Manfred R. Schroeder, "Natural Sounding Artificial Reverberation", *Journal of the Audio Engineering
//! Society* 10 (1962); Jean-Marc Jot and Antoine Chaigne, "Digital Delay Networks for Designing Artificial
//! Reverberators", AES 1991).

use super::{Frame, is_silent};

/// Where it is played.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Room {
    /// Nowhere: the instrument alone.
    None,
    /// A wooden room with a few people in it.
    #[default]
    Chamber,
    /// A chapel of stone.
    Chapel,
}

impl Room {
    /// How long it is heard after the music, in seconds to a thousandth.
    pub(super) fn seconds(self) -> f64 {
        match self {
            Room::None => 0.0,
            Room::Chamber => 0.9,
            Room::Chapel => 2.2,
        }
    }

    /// How loud it is, of what is sent into it.
    fn loudness(self) -> f64 {
        match self {
            Room::None => 0.0,
            Room::Chamber => 0.11,
            Room::Chapel => 0.14,
        }
    }
}

/// The delays that feed one another, in milliseconds: between them no common measure.
const DELAYS: [f64; 8] = [21.3, 24.7, 28.1, 31.9, 35.9, 40.3, 44.9, 50.7];

/// The delays of the allpass filters.
const DENSER: [f64; 3] = [4.77, 8.13, 12.61];

/// What an allpass filter feeds back.
const FEEDBACK: f64 = 0.6;

/// What of a high tone is left a reflection later, as a pole: air and walls take it first.
const SOFTEN: f64 = 0.35;

/// Below this, in a block that hears nothing, the room is silent.
const SILENT: f64 = 1e-7;

/// A room while something is heard in it.
pub(super) struct Reverberation {
    denser: [[Delay; DENSER.len()]; 2],
    delays: [Delay; DELAYS.len()],
    gains: [f64; DELAYS.len()],
    softened: [f64; DELAYS.len()],
    loudness: f64,
    /// Whether there is nothing in it.
    silent: bool,
}

impl Reverberation {
    pub(super) fn new(room: Room, rate: f64) -> Option<Reverberation> {
        if room == Room::None {
            return None;
        }
        let delay = |milliseconds: f64| Delay::new((milliseconds * rate / 1000.0).round() as usize);
        // The other side hears walls that are a little further away.
        let denser = [1.0, 1.07].map(|side| DENSER.map(|delays| delay(delays * side)));
        let gains = DELAYS.map(|delay| 1e-3_f64.powf(delay / 1000.0 / room.seconds()));
        Some(Reverberation {
            denser,
            delays: DELAYS.map(delay),
            gains,
            softened: [0.0; DELAYS.len()],
            loudness: room.loudness(),
            silent: true,
        })
    }

    /// Adds the room to a block.
    pub(super) fn add(&mut self, frames: &mut [Frame]) {
        let hears = frames.iter().any(|frame| !is_silent(frame));
        if self.silent && !hears {
            return;
        }
        let mut loudest: f64 = 0.0;
        for frame in frames {
            let mut heard = *frame;
            for (heard, denser) in heard.iter_mut().zip(&mut self.denser) {
                for delay in denser {
                    *heard = delay.allpass(*heard);
                }
            }
            let mut out = [0.0; 2];
            let mut back = [0.0; DELAYS.len()];
            for (place, back) in back.iter_mut().enumerate() {
                let softened = &mut self.softened[place];
                *softened += (1.0 - SOFTEN) * (self.delays[place].read() - *softened);
                *back = *softened * self.gains[place];
                out[place % 2] += if place % 4 < 2 { *softened } else { -*softened };
            }
            mix(&mut back);
            for (place, back) in back.iter().enumerate() {
                self.delays[place].write(back + heard[place % 2]);
            }
            for (sample, out) in frame.iter_mut().zip(out) {
                *sample += out * self.loudness;
                loudest = loudest.max(out.abs());
            }
        }
        self.silent = false;
        if !hears && loudest < SILENT {
            self.fall_silent();
        }
    }

    fn fall_silent(&mut self) {
        let denser = self.denser.iter_mut().flatten();
        for delay in denser.chain(&mut self.delays) {
            delay.line.fill(0.0);
        }
        self.softened = [0.0; DELAYS.len()];
        self.silent = true;
    }
}

/// Each to all, with the same power as before (Hadamard's matrix).
fn mix(values: &mut [f64; DELAYS.len()]) {
    let mut half = 1;
    while half < values.len() {
        for first in (0..values.len()).filter(|place| place & half == 0) {
            let (one, other) = (values[first], values[first + half]);
            values[first] = one + other;
            values[first + half] = one - other;
        }
        half *= 2;
    }
    let power = (values.len() as f64).sqrt().recip();
    for value in values {
        *value *= power;
    }
}

/// A delay of a whole number of samples.
struct Delay {
    line: Vec<f64>,
    place: usize,
}

impl Delay {
    fn new(samples: usize) -> Delay {
        Delay { line: vec![0.0; samples.max(1)], place: 0 }
    }

    /// What was written so long ago.
    fn read(&self) -> f64 {
        self.line[self.place]
    }

    fn write(&mut self, sample: f64) {
        self.line[self.place] = sample;
        self.place += 1;
        if self.place == self.line.len() {
            self.place = 0;
        }
    }

    fn allpass(&mut self, sample: f64) -> f64 {
        let delayed = self.read();
        let kept = sample + FEEDBACK * delayed;
        self.write(kept);
        delayed - FEEDBACK * kept
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mixing_keeps_the_power() {
        let mut values = [1.0, -2.0, 0.5, 0.0, 3.0, 0.25, -1.0, 2.0];
        let power = |values: &[f64]| values.iter().map(|value| value * value).sum::<f64>();
        let before = power(&values);
        mix(&mut values);
        assert!((power(&values) - before).abs() < 1e-12);
    }

    #[test]
    fn silence_stays_silent_and_comes_back() {
        let mut room = Reverberation::new(Room::Chamber, 44_100.0).unwrap();
        let mut block = vec![[0.0; 2]; 512];
        room.add(&mut block);
        assert!(block.iter().all(is_silent));
        block[0] = [1.0, 1.0];
        room.add(&mut block);
        let mut blocks = 0;
        while !room.silent {
            block.fill([0.0; 2]);
            room.add(&mut block);
            blocks += 1;
            assert!(blocks < 600, "an impulse is heard for more than seven seconds");
        }
        block.fill([0.0; 2]);
        room.add(&mut block);
        assert!(block.iter().all(is_silent));
    }

    /// The level of the echoes falls by 60 decibels in about the time that is asked for.
    #[test]
    fn it_is_heard_as_long_as_it_says() {
        for room in [Room::Chamber, Room::Chapel] {
            let mut reverberation = Reverberation::new(room, 44_100.0).unwrap();
            let mut frames = vec![[0.0; 2]; (44_100.0 * room.seconds() * 1.2) as usize];
            frames[0] = [1.0; 2];
            reverberation.add(&mut frames);
            let power = |from: f64| {
                let from = (from * 44_100.0) as usize;
                frames[from..from + 2205].iter().map(|frame| frame[0] * frame[0]).sum::<f64>()
            };
            let fallen = 10.0 * (power(0.1) / power(0.1 + 0.8 * room.seconds())).log10();
            // High tones die sooner.
            assert!((44.0..90.0).contains(&fallen), "{room:?}: {fallen}");
        }
    }
}
