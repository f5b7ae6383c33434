//! The notes and rests that are read, each with its place in the text; why one of them lasts so.

use cartella::{BarLength, Document, Score, Time, TimedEvent, why_lasting};

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
            });
        }
    }
    events
}

/// Why the note or rest of a voice whose token begins at some byte lasts as long as it does, in a sentence;
/// nothing where there is none. The reasons of all would be most of what a text shows, and are read one at a
/// time.
///
/// ```
/// let text = "voice Cantus clef C1\n  sb A4 B lg C5 //\n";
/// let why = desk::why_at(text, None, 0, text.find('B').unwrap() as u32).unwrap();
/// assert!(why.starts_with("Cantus 2, a semibreve, lasts 2 minims: "));
/// assert_eq!(desk::why_at(text, None, 0, 0), None);
/// ```
pub fn why_at(text: &str, example: Option<&str>, voice: usize, start: u32) -> Option<String> {
    let document = Document::parse(text);
    let found = match example {
        Some(name) => document.example(name)?,
        None => document.first(),
    };
    let score = found.score(BarLength::Breve).score;
    let voice = score.voices.iter().find(|timed| timed.place == voice)?;
    let mut events = voice.events.iter().filter(|event| event.item.is_some());
    events.find(|event| event.span.start == start).map(|event| why_lasting(voice, event))
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
