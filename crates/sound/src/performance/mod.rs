//! How a score is played: in what tempo, what is repeated, where time is held, how notes are let go.
//!
//! Lengths and proportions are kept exactly, and the tempo is steady: what is held is added at one
//! moment for all voices, so that they stay together.

mod holds;
mod order;
mod touch;

use rudiments::{Interval, Time};
use score::{
    Change, Clock, Performance, PlayedBar, PlayedNote, PlayedVoice, Score, Stroke, Tempo,
    TimedVoice,
};

use order::Stretch;

pub use touch::Touch;

/// How a score is to be played.
#[derive(Clone, PartialEq, Debug)]
pub struct Playing {
    /// The tempo.
    pub tempo: Tempo,
    /// Articulation, and what is held.
    pub touch: Touch,
    /// Every voice of the piece, by [`TimedVoice::place`]; one that is not named here is heard from the
    /// middle, as loud as usual. So a voice keeps its seat in an excerpt without the others.
    pub seats: Vec<PlayedVoice>,
    /// So many bars are counted before the music begins.
    pub count_in: u32,
    /// How often the whole is played.
    pub times: u32,
    /// Whether sections that the source repeats are.
    pub repeats: bool,
}

impl Playing {
    /// How far from the middle the outer voices sit: near enough that each is heard with both ears.
    const WIDTH: f64 = 0.6;

    /// A whole piece as it is usually played: its voices side by side, the top voice on the left.
    ///
    /// ```
    /// use score::{BarLength, align, reckon};
    ///
    /// let text = "voice A clef C1\n lg C5\nvoice B clef C3\n lg A4\nvoice C clef F4\n lg F3\n";
    /// let piece = notation::parse(text).piece;
    /// let score = align(&piece, reckon(&piece), BarLength::Breve).score;
    /// let seats = sound::Playing::of(&score).seats;
    /// assert_eq!(seats.iter().map(|seat| seat.pan).collect::<Vec<_>>(), [-0.6, 0.0, 0.6]);
    /// ```
    pub fn of(whole: &Score) -> Playing {
        let count = whole.voices.iter().map(|voice| voice.place + 1).max().unwrap_or(0);
        let last = count.saturating_sub(1);
        let pan = |place: usize| match last {
            0 => 0.0,
            _ => Playing::WIDTH * (2.0 * place as f64 / last as f64 - 1.0),
        };
        let seats = (0..count).map(|place| PlayedVoice { pan: pan(place), ..MIDDLE });
        Playing { seats: seats.collect(), ..Playing::default() }
    }

    /// Everything just as long as it is counted, and once: nothing is held, let go early or repeated.
    pub fn exact() -> Playing {
        Playing { touch: Touch::EXACT, repeats: false, ..Playing::default() }
    }
}

/// A voice that has no seat of its own.
const MIDDLE: PlayedVoice = PlayedVoice { loudness: 1.0, pan: 0.0 };

impl Default for Playing {
    fn default() -> Playing {
        Playing {
            tempo: Tempo::USUAL,
            touch: Touch::default(),
            seats: Vec::new(),
            count_in: 0,
            times: 1,
            repeats: true,
        }
    }
}

/// Plays a score, moved by an interval if one is given. Linear in the length of the performance, but for
/// the order of its notes.
pub fn perform(score: &Score, playing: &Playing, transpose: Option<Interval>) -> Performance {
    let (strokes, start) = counted_in(score, playing.count_in);
    let stretches = order::stretches(&score.bars, playing.times, playing.repeats, start);
    let holds = holds::of_score(score, playing.touch);
    let clock = Clock::new(playing.tempo, holds::performed(&holds, score, &stretches));
    let bars: Vec<PlayedBar> =
        stretches.iter().flat_map(|stretch| bars(score, stretch, &clock)).collect();
    let mut notes = Vec::new();
    let player = Player { score, touch: playing.touch, transpose, clock: &clock };
    for voice in 0..score.voices.len() {
        player.play(voice, &stretches, &mut notes);
    }
    notes.sort_by_key(|note| note.start);
    let seat = |voice: &TimedVoice| playing.seats.get(voice.place).copied().unwrap_or(MIDDLE);
    let stroke = |(at, strong): (Time, bool)| Stroke { at, struck: clock.seconds(at), strong };
    Performance {
        voices: score.voices.iter().map(seat).collect(),
        strokes: strokes.into_iter().map(stroke).collect(),
        end: bars.last().map_or(start, |bar| bar.end),
        bars,
        notes,
        clock,
    }
}

/// The strokes of so many bars like the first, with whether each begins a bar; and where they end.
fn counted_in(score: &Score, bars: u32) -> (Vec<(Time, bool)>, Time) {
    let Some(first) = score.bars.first().filter(|_| bars > 0) else {
        return (Vec::new(), Time::ZERO);
    };
    let (beat, length) = (score.beat(first), first.end - first.start);
    // A bar that is no whole number of beats is counted up to the next one.
    let beats = length.round_up(beat).whole(beat);
    let strokes = (0..i64::from(bars) * beats).map(|number| (beat * number, number % beats == 0));
    (strokes.collect(), beat * (i64::from(bars) * beats))
}

/// The bars of a stretch.
fn bars(score: &Score, stretch: &Stretch, clock: &Clock) -> Vec<PlayedBar> {
    let bar = |place: usize| {
        let bar = score.bars[place];
        let (start, end) = (bar.start + stretch.shift, bar.end + stretch.shift);
        PlayedBar {
            bar: place,
            number: bar.number,
            pass: stretch.pass,
            start,
            end,
            starts: clock.seconds(start),
            ends: clock.seconds(end),
        }
    };
    stretch.bars.clone().map(bar).collect()
}

/// Plays the notes of one voice after another.
struct Player<'p> {
    score: &'p Score,
    touch: Touch,
    transpose: Option<Interval>,
    clock: &'p Clock,
}

impl Player<'_> {
    fn play(&self, voice: usize, stretches: &[Stretch], notes: &mut Vec<PlayedNote>) {
        let timed = &self.score.voices[voice];
        let line_ends = line_ends(timed);
        // Where the notes of the event before begin.
        let mut before = notes.len();
        for stretch in stretches {
            let start = self.score.bars[stretch.bars.start].start;
            let end = self.score.bars[stretch.bars.end - 1].end;
            let first = timed.events.partition_point(|event| event.onset < start);
            let inside = timed.events[first..].iter().take_while(|event| event.onset < end);
            for (place, event) in (first..).zip(inside) {
                if event.is_rest() || event.length.is_zero() || timed.is_blank(event.onset) {
                    continue;
                }
                let here = notes.len();
                let early = if line_ends.binary_search(&event.end()).is_ok() {
                    self.touch.line_end
                } else {
                    0.0
                };
                for note in &event.notes {
                    let pitch = self.transpose.map_or(note.pitch, |by| by.from(note.pitch));
                    let (start, end) = (event.onset + stretch.shift, event.end() + stretch.shift);
                    let mut played = PlayedNote {
                        voice,
                        event: place,
                        pass: stretch.pass,
                        pitch,
                        start,
                        end,
                        struck: self.clock.seconds(start),
                        released: self.clock.seconds(end),
                        restruck: false,
                    };
                    let same = |one: &&mut PlayedNote| one.pitch == pitch && one.end == start;
                    if let Some(one) = notes[before..here].iter_mut().find(same) {
                        played.restruck = true;
                        let early = (played.struck - one.released).max(self.touch.repeated);
                        one.released = let_go(one, played.struck, early);
                    }
                    played.released = let_go(&played, played.released, early);
                    notes.push(played);
                }
                before = here;
            }
        }
    }
}

/// When a note is let go that would last to a second, and is let go so much earlier, if it is long enough.
fn let_go(note: &PlayedNote, end: f64, early: f64) -> f64 {
    end - early.min((end - note.struck) * Touch::MOST)
}

/// The moments at which a line of the source ends in a voice, in order of time.
fn line_ends(voice: &TimedVoice) -> Vec<Time> {
    let is_end = |change: &Change| matches!(change, Change::LineEnd | Change::PageEnd);
    voice.changes.iter().filter(|(_, change)| is_end(change)).map(|(at, _)| *at).collect()
}

#[cfg(test)]
mod tests;
