//! The notes and rests that are read, each with its place in the text and why it lasts so.

use cartella::{Score, Time, TimedEvent, why_lasting};

use crate::message::Event;

/// The events of a score, voice by voice; silence that nobody printed is none.
pub(crate) fn events(score: &Score) -> Vec<Event> {
    let mut events = Vec::new();
    for voice in &score.voices {
        for event in voice.events.iter().filter(|event| event.item.is_some()) {
            events.push(Event {
                index: event.index.unwrap_or(0),
                voice: voice.place,
                start: event.span.start,
                end: event.span.end,
                from: minims(event.onset),
                until: minims(event.end()),
                what: named(event),
                why: why_lasting(voice, event),
            });
        }
    }
    events
}

fn minims(time: Time) -> f64 {
    time.numerator() as f64 / time.denominator() as f64
}

/// `dotted minim F#4`, `minim rest`
fn named(event: &TimedEvent) -> String {
    let dot = if event.dotted { "dotted " } else { "" };
    let value = event.value.name();
    if event.is_rest() {
        return format!("{dot}{value} rest");
    }
    let pitches: Vec<String> = event.notes.iter().map(|note| note.pitch.to_string()).collect();
    format!("{dot}{value} {}", pitches.join(" and "))
}
