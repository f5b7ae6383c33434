//! Instruments: what sounds while a key is down, and after it.
//!
//! An instrument makes a [`Tone`] of a frequency: samples of one note, from the stroke of the key until
//! nothing is left of it. A tone depends on its frequency and length alone, so the same note always sounds
//! the same.

mod organ;
mod partials;
mod plain;
mod plucked;
mod stroke;

pub use organ::Stop;

use organ::Pipes;
use partials::Partials;
use plucked::PluckedString;

pub(crate) use stroke::stroke;

/// What a score is played on.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub enum Instrument {
    /// A small positive organ, with these stops drawn.
    Organ(Vec<Stop>),
    /// A keyboard whose strings are plucked by quills.
    Plucked,
    /// A plain tone that neither speaks nor dies away, for study.
    Plain,
}

impl Default for Instrument {
    /// The organ, with its stopped flute and its flute of 4 feet.
    fn default() -> Instrument {
        Instrument::Organ(vec![Stop::Eight, Stop::Four])
    }
}

/// The frequencies of which tones are made, in hertz; whoever asks for another hears nothing.
const HEARD: [f64; 2] = [15.0, 16_000.0];

/// Partials above that share of the sample rate would be heard as other tones than they are (Shannon
/// 1949: above a half); the rest is left for filters of players.
const HIGHEST: f64 = 0.45;

/// A note while it sounds.
pub(crate) struct Tone {
    source: Source,
    /// Samples since its stroke.
    age: u64,
    /// When it is over.
    end: u64,
    /// How long it fades before that, in samples.
    fade: u64,
}

/// What makes the sound.
enum Source {
    Pipes(Box<Pipes>),
    Plain(Partials),
    Plucked(Box<PluckedString>),
    Stroke(Partials),
}

impl Tone {
    /// A note of a frequency in hertz whose key is down for so many samples; nothing where the ear hears
    /// none.
    pub(crate) fn new(
        instrument: &Instrument,
        frequency: f64,
        rate: f64,
        samples: u64,
    ) -> Option<Tone> {
        let [lowest, highest] = HEARD;
        // Not a number is not heard either.
        if !(frequency >= lowest && frequency <= highest.min(HIGHEST * rate)) {
            return None;
        }
        let (source, tail, fade) = match instrument {
            Instrument::Organ(stops) => {
                let tail = organ::release(frequency);
                (Source::Pipes(Box::new(Pipes::new(stops, frequency, rate))), tail, tail)
            }
            Instrument::Plain => {
                (Source::Plain(plain::partials(frequency, rate)), plain::RELEASE, plain::RELEASE)
            }
            Instrument::Plucked => {
                let string = PluckedString::new(frequency, rate, samples);
                let tail = plucked::release(frequency);
                (Source::Plucked(Box::new(string)), tail, tail / 4.0)
            }
        };
        let count = |seconds: f64| (seconds * rate).ceil() as u64;
        let end = samples + count(tail);
        Some(Tone { source, age: 0, end, fade: count(fade) })
    }

    /// Adds the next samples, and says whether there are more.
    pub(crate) fn add(&mut self, out: &mut [f64], scratch: &mut Vec<f64>) -> bool {
        let left = (self.end - self.age).min(out.len() as u64) as usize;
        scratch.clear();
        scratch.resize(left, 0.0);
        match &mut self.source {
            Source::Pipes(pipes) => pipes.add(scratch),
            Source::Plain(partials) | Source::Stroke(partials) => partials.add(scratch),
            Source::Plucked(string) => string.add(scratch),
        }
        let fading = self.end - self.fade;
        for (place, (out, sample)) in out.iter_mut().zip(scratch.iter()).enumerate() {
            let age = self.age + place as u64;
            *out += if age < fading {
                *sample
            } else {
                *sample * smooth((self.end - age) as f64 / (self.fade + 1) as f64)
            };
        }
        self.age += left as u64;
        self.age < self.end
    }
}

/// From 0 to 1 without a corner at either end: the polynomial of least degree with two derivatives that
/// vanish there.
fn smooth(x: f64) -> f64 {
    let x = x.clamp(0.0, 1.0);
    x * x * x * (x * (x * 6.0 - 15.0) + 10.0)
}
