//! `score --timing`: the seconds of every note, bar and system.

use std::collections::HashMap;

use cartella::{Performance, Picture, PlayedBar, Score, systems};
use serde::Serialize;

use crate::printed::Printed;
use crate::report::{Source, json};

/// Times are seconds from the beginning of the performance, moments of the score minims.
#[derive(Serialize)]
struct Answer<'s> {
    version: u32,
    #[serde(skip_serializing_if = "Option::is_none")]
    example: Option<&'s str>,
    title: Option<&'s str>,
    tempo: Tempo,
    /// How long all is.
    seconds: f64,
    /// The strokes before the music.
    strokes: Vec<f64>,
    systems: Vec<SystemTimes>,
    bars: Vec<BarTimes>,
    notes: Vec<NoteTimes<'s>>,
}

#[derive(Serialize)]
struct Tempo {
    value: &'static str,
    per_minute: u16,
}

#[derive(Serialize)]
struct SystemTimes {
    system: u32,
    page: u32,
    first: u32,
    last: u32,
    pass: u32,
    start: f64,
    end: f64,
}

#[derive(Serialize)]
struct BarTimes {
    number: u32,
    pass: u32,
    start: f64,
    end: f64,
}

#[derive(Serialize)]
struct NoteTimes<'s> {
    voice: &'s str,
    index: Option<u32>,
    bar: u32,
    pass: u32,
    pitch: String,
    at: String,
    #[serde(rename = "for")]
    length: String,
    start: f64,
    end: f64,
    silent: bool,
    line: u32,
    column: u32,
}

/// The times of a performance of a score that stands on these pages.
pub(crate) fn answer(
    pages: &[Picture],
    score: &Score,
    performance: &Performance,
    source: &Source<'_>,
) -> Printed {
    let heading = &score.heading;
    let tempo = performance.clock.tempo();
    let bar = |bar: &PlayedBar| BarTimes {
        number: bar.number,
        pass: bar.pass,
        start: rounded(bar.starts),
        end: rounded(bar.ends),
    };
    json(&Answer {
        version: 1,
        example: heading.example.as_deref(),
        title: heading.title.as_deref(),
        tempo: Tempo { value: tempo.value().letters(), per_minute: tempo.per_minute() },
        seconds: rounded(performance.seconds()),
        strokes: performance.strokes.iter().map(|stroke| rounded(stroke.struck)).collect(),
        systems: played_systems(pages, &performance.bars),
        bars: performance.bars.iter().map(bar).collect(),
        notes: notes(score, performance, source),
    })
}

/// The systems as they come: one that is left and entered again comes again.
fn played_systems(pages: &[Picture], bars: &[PlayedBar]) -> Vec<SystemTimes> {
    let mut of_bar: HashMap<usize, (u32, u32)> = HashMap::new();
    for (page, picture) in (1..).zip(pages) {
        for (system, bars) in systems(picture) {
            of_bar.extend(bars.map(|bar| (bar, (page, system))));
        }
    }
    let mut played: Vec<SystemTimes> = Vec::new();
    let mut next = None;
    for bar in bars {
        let Some((page, system)) = of_bar.get(&bar.bar).copied() else { continue };
        let (start, end) = (rounded(bar.starts), rounded(bar.ends));
        match played.last_mut() {
            Some(last) if last.system == system && next == Some(bar.bar) => {
                (last.last, last.end) = (bar.number, end);
            }
            _ => {
                let (first, last, pass) = (bar.number, bar.number, bar.pass);
                played.push(SystemTimes { system, page, first, last, pass, start, end });
            }
        }
        next = Some(bar.bar + 1);
    }
    played
}

fn notes<'s>(
    score: &'s Score,
    performance: &Performance,
    source: &Source<'_>,
) -> Vec<NoteTimes<'s>> {
    let note = |played: &cartella::PlayedNote| {
        let voice = &score.voices[played.voice];
        let event = &voice.events[played.event];
        let (line, column) = source.place(event.span);
        NoteTimes {
            voice: &voice.name,
            index: event.index,
            bar: score.bar_at(event.onset).map_or(1, |bar| bar.number),
            pass: played.pass,
            pitch: played.pitch.to_string(),
            at: (score.begins + event.onset).to_string(),
            length: event.length.to_string(),
            start: rounded(played.struck),
            end: rounded(played.released),
            silent: performance.voices[played.voice].loudness <= 0.0,
            line,
            column,
        }
    };
    performance.notes.iter().map(note).collect()
}

/// To a microsecond: less than a sample of any recording.
fn rounded(seconds: f64) -> f64 {
    (seconds * 1e6).round() / 1e6
}
