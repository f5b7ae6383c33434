//! Samples of a performance, block after block: however long it is, only what sounds is kept.

mod level;
mod room;

use score::Performance;

use crate::error::{Error, LONGEST};
use crate::instrument::{Instrument, Tone, stroke};
use crate::temperament::Tuning;

use level::level;
use room::Reverberation;

pub use room::Room;

/// How a performance sounds.
#[derive(Clone, PartialEq, Debug)]
pub struct Rendering {
    /// How high the notes are.
    pub tuning: Tuning,
    /// On what it is played.
    pub instrument: Instrument,
    /// Where.
    pub room: Room,
    /// Whether the first half second grows from half the loudness, for whoever wears headphones.
    pub gentle: bool,
    /// Samples a second.
    pub rate: u32,
}

impl Default for Rendering {
    /// An organ in meantone, in a small room, at the rate of compact discs.
    fn default() -> Rendering {
        Rendering {
            tuning: Tuning::default(),
            instrument: Instrument::default(),
            room: Room::default(),
            gentle: true,
            rate: 44_100,
        }
    }
}

/// A moment of sound: left and right, within -1 and 1.
pub type Frame = [f64; 2];

/// Whether nothing is heard.
pub(crate) fn is_silent(frame: &Frame) -> bool {
    frame.iter().all(|sample| *sample == 0.0)
}

/// Frames that are reckoned at once.
const BLOCK: usize = 512;

/// Renders a performance.
///
/// ```
/// use score::{BarLength, align, reckon};
/// use sound::{Playing, Rendering, perform, render};
///
/// let piece = notation::parse("voice Cantus clef C1\n  sb A4 br B lg C5 //\n").piece;
/// let score = align(&piece, reckon(&piece), BarLength::Breve).score;
/// let performance = perform(&score, &Playing::of(&score), None);
/// let mut samples = render(&performance, &Rendering::default()).unwrap();
/// let mut loudest: f64 = 0.0;
/// while let Some(frames) = samples.next_block() {
///     loudest = frames.iter().flatten().fold(loudest, |most, sample| most.max(sample.abs()));
/// }
/// assert!(loudest > 0.01 && loudest < 1.0);
/// ```
///
/// # Errors
/// If it is longer than [`LONGEST`].
pub fn render<'p>(
    performance: &'p Performance,
    rendering: &Rendering,
) -> Result<Samples<'p>, Error> {
    if performance.seconds() > LONGEST {
        return Err(Error::TooLong);
    }
    Ok(Samples::new(performance, rendering.clone()))
}

/// The samples of a performance, from beginning to end.
pub struct Samples<'p> {
    performance: &'p Performance,
    rendering: Rendering,
    frequencies: Vec<f64>,
    /// By what everything is multiplied, so that nothing is too loud.
    level: f64,
    next_note: usize,
    next_stroke: usize,
    sounding: Vec<Sounding>,
    reverberation: Option<Reverberation>,
    /// Frames that have been given.
    now: u64,
    /// Frames until the music is over.
    music: u64,
    /// Frames until everything is over.
    end: u64,
    block: Vec<Frame>,
    mono: Vec<f64>,
    scratch: Vec<f64>,
}

/// A tone at its place.
struct Sounding {
    tone: Tone,
    /// Left and right.
    gains: Frame,
    /// The frames of the block that pass before it begins.
    wait: usize,
}

impl<'p> Samples<'p> {
    fn new(performance: &'p Performance, rendering: Rendering) -> Samples<'p> {
        let rate = f64::from(rendering.rate);
        let released = performance.notes.iter().map(|note| note.released);
        let last = released.fold(performance.seconds(), f64::max);
        // Until the last tones have died away, too.
        let music = ((last + 0.5) * rate) as u64;
        let end = ((last + 0.5 + rendering.room.seconds()) * rate) as u64;
        Samples {
            frequencies: rendering.tuning.frequencies(performance),
            level: level(performance),
            performance,
            next_note: 0,
            next_stroke: 0,
            sounding: Vec::new(),
            reverberation: Reverberation::new(rendering.room, rate),
            now: 0,
            music,
            end: end.next_multiple_of(BLOCK as u64),
            block: Vec::with_capacity(BLOCK),
            mono: Vec::with_capacity(BLOCK),
            scratch: Vec::with_capacity(BLOCK),
            rendering,
        }
    }

    /// Samples a second.
    pub fn rate(&self) -> u32 {
        self.rendering.rate
    }

    /// How many frames there are in all.
    pub fn frames(&self) -> u64 {
        self.end
    }

    /// The next frames, all blocks of the same size; nothing after the end.
    pub fn next_block(&mut self) -> Option<&[Frame]> {
        if self.now >= self.end {
            return None;
        }
        self.block.clear();
        self.block.resize(BLOCK, [0.0; 2]);
        self.begin();
        self.sound();
        if let Some(reverberation) = &mut self.reverberation {
            reverberation.add(&mut self.block);
        }
        self.finish();
        self.now += BLOCK as u64;
        Some(&self.block)
    }

    /// Strikes what begins in this block.
    fn begin(&mut self) {
        let rate = f64::from(self.rendering.rate);
        let frame = |seconds: f64| (seconds * rate).round() as u64;
        let after = self.now + BLOCK as u64;
        while let Some(stroke) = self.performance.strokes.get(self.next_stroke)
            && frame(stroke.struck) < after
        {
            let wait = frame(stroke.struck).saturating_sub(self.now) as usize;
            let tone = self::stroke(stroke.strong, rate);
            self.sounding.push(Sounding { tone, gains: [STROKE; 2], wait });
            self.next_stroke += 1;
        }
        while let Some(note) = self.performance.notes.get(self.next_note)
            && frame(note.struck) < after
        {
            let frequency = self.frequencies[self.next_note];
            self.next_note += 1;
            let voice = self.performance.voices[note.voice];
            if voice.loudness <= 0.0 {
                continue;
            }
            let struck = frame(note.struck);
            let held = frame(note.released).saturating_sub(struck).max(1);
            let tone = Tone::new(&self.rendering.instrument, frequency, rate, held);
            let Some(tone) = tone else { continue };
            // The sum of powers is the same at every place.
            let angle = (voice.pan.clamp(-1.0, 1.0) + 1.0) * std::f64::consts::FRAC_PI_4;
            let gain = voice.loudness * self.level;
            let gains = [gain * angle.cos(), gain * angle.sin()];
            let wait = struck.saturating_sub(self.now) as usize;
            self.sounding.push(Sounding { tone, gains, wait });
        }
    }

    /// Adds what sounds to the block.
    fn sound(&mut self) {
        let Samples { sounding, block, mono, scratch, .. } = self;
        sounding.retain_mut(|sounding| {
            let frames = &mut block[sounding.wait..];
            mono.clear();
            mono.resize(frames.len(), 0.0);
            sounding.wait = 0;
            let goes_on = sounding.tone.add(mono, scratch);
            let [left, right] = sounding.gains;
            for (frame, sample) in frames.iter_mut().zip(mono.iter()) {
                frame[0] += sample * left;
                frame[1] += sample * right;
            }
            goes_on
        });
    }

    /// The gentle start and the end of the room.
    fn finish(&mut self) {
        let rate = f64::from(self.rendering.rate);
        let seconds = |frames: u64| frames as f64 / rate;
        let begins = self.rendering.gentle && seconds(self.now) < GENTLE;
        let ends = self.now + BLOCK as u64 > self.music;
        if begins || ends {
            for (place, frame) in self.block.iter_mut().enumerate() {
                let now = self.now + place as u64;
                let mut gain = 1.0;
                if begins {
                    gain *= 0.5 + 0.5 * (seconds(now) / GENTLE).min(1.0);
                }
                if now >= self.music {
                    let left = (self.end - now) as f64 / (self.end - self.music).max(1) as f64;
                    gain *= left.min(1.0);
                }
                *frame = frame.map(|sample| sample * gain);
            }
        }
        for frame in &mut self.block {
            // The level leaves room for all; this is for what nobody thought of.
            *frame = frame.map(|sample| sample.clamp(-1.0, 1.0));
        }
    }
}

/// How loud a stroke of the count is.
const STROKE: f64 = 0.25;

/// How long a gentle start is, in seconds.
const GENTLE: f64 = 0.5;
