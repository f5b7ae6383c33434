//! What is invented, written as a parts file.

use std::fmt::Write as _;

use counterpoint::invention::PartNote;
use notation::Spelling;
use rudiments::{Accidental, Clef, Pitch, Signature, Time, Value};

use crate::Document;

/// A text that must stand on one line.
pub(crate) fn in_line(text: &str) -> String {
    text.replace(['\n', '\r'], " ")
}

/// A parts file in canonical form.
pub(crate) fn tidied(text: String) -> String {
    let document = Document::parse(text);
    document.tidy(Spelling::default()).unwrap_or_else(|_| document.text().to_owned())
}

/// The sign C|, and the signature, as head items.
pub(crate) fn signs(signature: Signature) -> String {
    let mut text = String::from("sign C|\n");
    if signature != Signature::NONE {
        let _ = writeln!(text, "signature {signature}");
    }
    text
}

/// How high a voice sings on average, in parts of a step: by this voices stand in order.
pub(crate) fn height(notes: &[PartNote]) -> i32 {
    let rungs: i32 = notes.iter().map(|note| note.pitch.tone.rung()).sum();
    rungs * 64 / (notes.len().max(1) as i32)
}

/// When the last of some voices ends.
pub(crate) fn end<'n>(voices: impl IntoIterator<Item = &'n [PartNote]>) -> Time {
    let lasts = voices.into_iter().filter_map(|notes| notes.last());
    lasts.map(|note| note.at + note.length).max().unwrap_or(Time::ZERO)
}

/// A voice, a section after another, each with rests up to its end, and the numbers of the first and the
/// last event of the subject in the first section.
pub(crate) fn voice(
    name: &str,
    sections: &[(&[PartNote], Time)],
    signature: Signature,
) -> (String, [u32; 2]) {
    let written: Vec<(String, [u32; 2])> =
        sections.iter().map(|(notes, end)| music(notes, *end, signature)).collect();
    let sections: Vec<&[PartNote]> = sections.iter().map(|(notes, _)| *notes).collect();
    let music: Vec<&str> = written.iter().map(|(music, _)| music.as_str()).collect();
    let text = format!("\nvoice {name} clef {}\n {}\n", clef(&sections), music.join(" ||\n "));
    (text, written.first().map_or([1, 1], |(_, numbers)| *numbers))
}

/// The clef under which a voice needs the fewest ledger lines; of several, the usual one.
fn clef(sections: &[&[PartNote]]) -> Clef {
    let clefs = ["C1", "C3", "C4", "F4", "G2", "C2", "F3"];
    let beyond = |clef: &Clef| -> i32 {
        let notes = sections.iter().copied().flatten();
        let places = notes.map(|note| clef.place_of(note.pitch.tone));
        places.map(|place| (1 - place).max(place - 11).max(0)).sum()
    };
    let best = clefs.into_iter().filter_map(Clef::parse).min_by_key(beyond);
    best.unwrap_or(Clef { shape: rudiments::ClefShape::C, line: 4 })
}

/// The notes and rests of a voice, and the numbers of the first and the last event of the subject.
fn music(notes: &[PartNote], end: Time, signature: Signature) -> (String, [u32; 2]) {
    let (mut text, mut at, mut count) = (String::new(), Time::ZERO, 0);
    let mut subject: Option<[u32; 2]> = None;
    let mut before: Option<Pitch> = None;
    let rest = |text: &mut String, at: &mut Time, until: Time| {
        let mut rests = 0;
        while *at < until {
            let (value, length) = rest_value(*at, until);
            let _ = write!(text, " {value} _{}", set(value.plain(), length));
            (*at, rests) = (*at + length, rests + 1);
        }
        rests
    };
    for note in notes {
        let rests = rest(&mut text, &mut at, note.at);
        if rests > 0 {
            (count, before) = (count + rests, None);
        }
        let _ = write!(text, " {}", note_word(*note, signature, before));
        (at, count, before) = (note.at + note.length, count + 1, Some(note.pitch));
        if note.is_subject {
            subject = Some([subject.map_or(count, |[first, _]| first), count]);
        }
    }
    rest(&mut text, &mut at, end);
    (text, subject.unwrap_or([1, 1]))
}

/// The longest rest that begins at a moment, on its natural place; with its length where it is odd.
fn rest_value(at: Time, until: Time) -> (Value, Time) {
    let gap = until - at;
    let values = Value::ALL.into_iter().filter(|value| *value >= Value::Breve);
    let mut fitting =
        values.filter(|value| value.plain() <= gap && at.within(value.plain()).is_zero());
    fitting.next().map_or((Value::Minim, gap), |value| (value, value.plain()))
}

/// A length that is not that of the value.
fn set(plain: Time, length: Time) -> String {
    if plain == length { String::new() } else { format!("={length}") }
}

fn note_word(note: PartNote, signature: Signature, before: Option<Pitch>) -> String {
    let dotted = |value: &Value| value.plain() + value.plain().half() == note.length;
    let value = Value::ALL.into_iter().find(|value| value.plain() == note.length || dotted(value));
    let value = value.unwrap_or(Value::Minim);
    let dot = if dotted(&value) { "." } else { "" };
    let length = if dot.is_empty() { set(value.plain(), note.length) } else { String::new() };
    let Pitch { tone, alteration } = note.pitch;
    let plain = signature.alteration(tone.step);
    let held = before.filter(|before| before.tone == tone).map_or(plain, |b| b.alteration);
    let signs = [Accidental::Sharp, Accidental::Flat, Accidental::Natural];
    let sign = signs.into_iter().find(|sign| sign.alteration(tone.step, plain) == alteration);
    let sign = sign.filter(|_| alteration != plain || held != alteration);
    let sign = match sign {
        Some(sign) if note.is_subject && !note.is_signed => sign.letter().to_string(),
        Some(sign) => format!("[{}]", sign.letter()),
        None => String::new(),
    };
    format!("{value} {}{sign}{}{dot}{length}", tone.step, tone.octave)
}
