//! What the part files of the open data lack, as its README has it from the prints: signs of
//! proportion, and black minims, which are encoded as the semiminims that they look like.

use std::ops::Range;

use notation::{Edit, Span};
use notation::{Event, Item, ItemKind, Voice, apply, parse};
use rudiments::Value;

/// A sign of a print: the sign, and the events before which it stands, by the initial of the voice.
pub type PrintedSign = (&'static str, &'static [&'static str]);

/// The signs of `fiorino_delanima`.
pub const FIORINO: &[PrintedSign] = &[
    ("3", &["C102", "A121", "Q92", "T122", "B84"]),
    ("C", &["C112", "A132", "Q102", "T132", "B94"]),
    ("3", &["C130", "A156", "Q133", "T151", "B119"]),
];

/// The signs of `virchi_arsimentre`.
pub const VIRCHI: &[PrintedSign] = &[
    ("3/2", &["C119", "A107", "Q123", "T131", "B104"]),
    ("C", &["C126", "A118", "Q131", "T142", "B112"]),
];

/// The signs of `spontone_tamai`.
pub const SPONTONE: &[PrintedSign] = &[(
    "3",
    &[
        "C104", "C107", "C112", "A102", "A105", "A107", "A110", "Q100", "Q103", "Q105", "Q108",
        "T97", "T99", "T101", "T104", "B85", "B87", "B89", "B92",
    ],
)];

/// The voice and the event of a place like `C102`.
///
/// # Panics
/// If it is no such place.
pub fn place(place: &str) -> (char, u32) {
    let mut characters = place.chars();
    (characters.next().unwrap(), characters.as_str().parse().unwrap())
}

/// A parts file with signs typed before events.
///
/// # Panics
/// If there are no such events.
pub fn with_signs(text: &str, signs: &[PrintedSign]) -> String {
    let edits = signs.iter().flat_map(|(sign, places)| {
        places.iter().map(move |at| {
            let start = token(text, at).start;
            Edit::new(Span { start, end: start }, format!("sign {sign} "))
        })
    });
    apply(text, &edits.collect::<Vec<_>>())
}

/// A parts file with the token of an event replaced.
///
/// # Panics
/// If there is no such event.
pub fn with_token(text: &str, at: &str, token_text: &str) -> String {
    apply(text, &[Edit::new(token(text, at), token_text)])
}

fn token(text: &str, at: &str) -> Span {
    let (voice, index) = place(at);
    let piece = parse(text).piece;
    let voice = piece.voices.iter().find(|found| found.name.starts_with(voice)).unwrap();
    events(voice).find(|(_, event)| event.index == Some(index)).unwrap().0.span
}

fn events(voice: &Voice) -> impl Iterator<Item = (&Item, &Event)> {
    voice.items.iter().filter_map(|item| match &item.kind {
        ItemKind::Event(event) => Some((item, event)),
        _ => None,
    })
}

/// A parts file whose semiminims that go with black semibreves are typed as the black minims that
/// they are.
///
/// Coloured notes with nothing but semiminims and smaller notes between them belong together with
/// these. If what they hold is not a multiple of three parts, a black minim being one, the notes
/// that follow complete it, as far as they too look like semiminims or smaller.
pub fn with_black_minims(text: &str) -> String {
    let piece = parse(text).piece;
    let mut edits = Vec::new();
    for voice in &piece.voices {
        let events: Vec<(&Item, &Event)> = events(voice).collect();
        for group in groups(&events) {
            let start = events[group.start].0.span.start;
            let mut value = None;
            for place in group.clone() {
                let (item, event) = events[place];
                let larger = event.value.larger().unwrap_or(event.value);
                let black = if event.colored { event.value } else { larger };
                let typed = text[item.span.range()].trim_start_matches('.');
                let dot = if event.completing { "." } else { "" };
                let change = if event.completing || value == Some(black) {
                    String::new()
                } else {
                    value = Some(black);
                    format!("{black} ")
                };
                edits.push(Edit::new(item.span, format!("{change}{dot}{typed}")));
            }
            let after = events[group.end - 1].0.span.end;
            let next =
                events.get(group.end).map_or(String::new(), |(_, next)| format!(" {}", next.value));
            edits.push(Edit::new(Span { start, end: start }, "{ "));
            edits.push(Edit::new(Span { start: after, end: after }, format!(" }}{next}")));
        }
        // The braces that were typed around the semibreves alone.
        edits.extend(voice.items.iter().filter_map(|item| match item.kind {
            ItemKind::Open(notation::Group::Coloration)
            | ItemKind::Close(notation::Group::Coloration) => Some(Edit::new(item.span, "")),
            _ => None,
        }));
    }
    edits.sort_by_key(|edit| (edit.span.start, edit.span.end));
    apply(text, &edits)
}

/// Parts of a group, in eighths.
fn parts(event: &Event) -> Option<i64> {
    if event.is_rest() {
        return None;
    }
    let plain = match (event.colored, event.value) {
        (true, value) => value.plain(),
        (false, value) if value >= Value::Semiminim => value.larger()?.plain(),
        _ => return None,
    };
    let eighths = (plain * 8).numerator();
    Some(if event.dot.is_some() { eighths + eighths / 2 } else { eighths })
}

/// The groups of black notes of a voice, as places among its events.
fn groups(events: &[(&Item, &Event)]) -> Vec<Range<usize>> {
    let mut groups = Vec::new();
    let mut start = 0;
    while start < events.len() {
        if !events[start].1.colored {
            start += 1;
            continue;
        }
        let run = events[start..].iter().map_while(|(_, event)| parts(event)).collect::<Vec<_>>();
        let last = (0..run.len()).rev().find(|place| events[start + place].1.colored).unwrap();
        let mut sum: i64 = run[..=last].iter().sum();
        let mut end = start + last + 1;
        while sum % 24 != 0 && end < start + run.len() {
            sum += run[end - start];
            end += 1;
        }
        groups.push(start..end);
        start = end;
    }
    groups
}
