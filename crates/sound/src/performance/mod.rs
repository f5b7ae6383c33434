//! How a score is played.

use rudiments::Interval;
use score::{Clock, Performance, PlayedBar, PlayedNote, PlayedVoice, Score, Tempo};

/// How a score is to be played.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Playing {
    /// The tempo.
    pub tempo: Tempo,
    /// By what all is transposed.
    pub transpose: Option<Interval>,
}

/// Plays a score. Linear in its length.
pub fn perform(score: &Score, playing: &Playing) -> Performance {
    let clock = Clock::new(playing.tempo, []);
    let bars = score.bars.iter().enumerate().map(|(place, bar)| PlayedBar {
        bar: place,
        number: bar.number,
        pass: 1,
        start: bar.start,
        end: bar.end,
        starts: clock.seconds(bar.start),
        ends: clock.seconds(bar.end),
    });
    let bars = bars.collect();
    let mut notes = Vec::new();
    for (voice, timed) in score.voices.iter().enumerate() {
        for (place, event) in timed.events.iter().enumerate() {
            notes.extend(event.notes.iter().map(|note| PlayedNote {
                voice,
                event: place,
                pass: 1,
                pitch: playing.transpose.map_or(note.pitch, |by| by.from(note.pitch)),
                start: event.onset,
                end: event.end(),
                struck: clock.seconds(event.onset),
                released: clock.seconds(event.end()),
                restruck: false,
            }));
        }
    }
    notes.sort_by_key(|note| note.start);
    let voices = vec![PlayedVoice { loudness: 1.0, pan: 0.0 }; score.voices.len()];
    Performance { clock, voices, strokes: Vec::new(), bars, notes, end: score.length }
}
