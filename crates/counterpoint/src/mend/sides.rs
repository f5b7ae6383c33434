//! What is printed at a suggestion, and what would be read.

use notation::{Event, ItemKind, Piece, Word};
use rudiments::Value;

use super::reason::length;
use crate::slip::Repair;

/// At most so many notes of a stretch are shown.
const SHOWN: usize = 4;

/// What is printed at a suggestion, and what would be read, as both are typed.
pub(crate) fn sides(
    text: &str,
    piece: &Piece,
    voice: usize,
    item: usize,
    repair: Repair,
    minim: i64,
) -> (String, String) {
    let items = &piece.voices[voice].items;
    let events: Vec<(&Event, Word<'_>)> = items[item..]
        .iter()
        .filter(|item| item.standing.is_read())
        .filter_map(|item| match &item.kind {
            ItemKind::Event(event) => {
                let typed = item.span.of(text);
                let typed = if typed.starts_with("_*") { "_" } else { typed };
                Some((event, Word::new(typed)?))
            }
            _ => None,
        })
        .take(SHOWN + 1)
        .collect();
    let Some((event, word)) = events.first() else { return Default::default() };
    let typed = |value: Value, word: &Word<'_>| format!("{value} {word}");
    let printed = typed(event.value, word);
    let dot = |dotted: bool| if dotted { "." } else { "" };
    match repair {
        Repair::Value { value, dotted } => (printed, typed(value, &word.clone().dotted(dotted))),
        Repair::Pair { first, second } => {
            let Some((next, other)) = events.get(1) else { return (printed, String::new()) };
            let two = |first: Value, second: Value| {
                if first.smaller() == Some(second) {
                    format!("{first} {word} .{other}")
                } else {
                    format!("{first} {word} {second} {other}")
                }
            };
            (two(event.value, next.value), two(first, second))
        }
        Repair::Degrees { smaller, events: count } => {
            let more = if count as usize > SHOWN { " …" } else { "" };
            let shown = |smaller: i32| {
                let mut now = None;
                let mut words = Vec::new();
                for (event, word) in events.iter().take(SHOWN.min(count as usize)) {
                    let value = event.value.degrees_smaller(smaller).unwrap_or(event.value);
                    if now.replace(value) == Some(value) {
                        words.push(word.to_string());
                    } else {
                        words.push(typed(value, word));
                    }
                }
                format!("{}{more}", words.join(" "))
            };
            (shown(0), shown(smaller))
        }
        Repair::InsertNote { value, dotted, tone } => {
            (String::new(), format!("{value} {tone}{}", dot(dotted)))
        }
        Repair::InsertRest { value } => (String::new(), format!("{value} _")),
        Repair::Delete => (printed, String::new()),
        Repair::InsertLine { ticks } => {
            (String::new(), format!("a line, {}", length(ticks, minim)))
        }
        Repair::Tone(tone) => (printed, typed(event.value, &word.clone().at_tone(tone))),
        Repair::Exchange { first, second } => {
            let Some((next, other)) = events.get(1) else { return (printed, String::new()) };
            let after = |other: &Word<'_>| {
                if next.value == event.value { other.to_string() } else { typed(next.value, other) }
            };
            let read = typed(event.value, &word.clone().at_tone(first));
            let second = after(&other.clone().at_tone(second));
            (format!("{printed} {}", after(other)), format!("{read} {second}"))
        }
        Repair::Sign(sign) => (printed, typed(event.value, &word.clone().signed(sign))),
        Repair::Transpose { steps, events: count } => {
            let more = if count as usize > SHOWN { " …" } else { "" };
            let shown = |steps: i32| {
                let words: Vec<String> = events
                    .iter()
                    .take(SHOWN.min(count as usize))
                    .map(|(event, word)| match event.notes().first() {
                        Some(note) if steps != 0 => {
                            word.clone().at_tone(note.tone.up(steps)).to_string()
                        }
                        _ => word.to_string(),
                    })
                    .collect();
                format!("{}{more}", words.join(" "))
            };
            (shown(0), shown(steps))
        }
    }
}
