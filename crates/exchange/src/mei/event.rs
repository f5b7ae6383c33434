//! A note, a chord or a rest with all that hangs on it.

use notation::{Dot, Note, Sound};
use roxmltree::Node;
use rudiments::{Accidental, Tone, Value};

use super::definition;
use super::elements::{elements, is_true, name};
use super::note_signs::{self, How};
use super::said::Said;
use super::voice::Event;
use crate::reading::Remarks;
use crate::{Fault, ReadError};

/// What is said of a dot that is not simply printed.
pub(super) const EDITED_DOT: &str = "a dot that is supplied or corrected is read as if printed";
/// What is said of a second dot after the same note.
pub(super) const SECOND_DOT: &str = "a second dot after the same note is not kept";

/// Reads a `<note>`, `<chord>` or `<rest>`; `default` is the value of those that have none.
///
/// # Errors
/// If it has no value, or a note in it no pitch.
pub(super) fn read(
    node: Node<'_, '_>,
    default: Option<Value>,
    remarks: &mut Remarks,
) -> Result<Event, ReadError> {
    let mut event = Event {
        at: node.range().start,
        printed: notation::Event::new(value(node, default, remarks)?, Sound::Rest { spaces: None }),
        dot_seen: false,
        oblique: false,
        joined: false,
        said: Said::default(),
    };
    let is_chord = name(node) == "chord";
    let mut heads = Vec::new();
    attributes(node, &mut event, remarks);
    match name(node) {
        "note" => heads.push(head(node, remarks)?),
        "rest" => {
            let spaces = spaces(node, event.printed.value, remarks);
            event.printed.sound = Sound::Rest { spaces };
        }
        _ => {}
    }
    // What stands in the note, each with whether an editor added it.
    let mut open: Vec<(Node, bool)> = Vec::new();
    let push = |open: &mut Vec<_>, node, added| {
        open.extend(elements(node).rev().map(|child| (child, added)));
    };
    push(&mut open, node, false);
    while let Some((node, added)) = open.pop() {
        match name(node) {
            "note" if is_chord => {
                note_of_chord(node, &mut event, added, remarks);
                heads.push(head(node, remarks)?);
                push(&mut open, node, added);
            }
            "accid" => accidental(node, added, heads.last_mut(), remarks),
            "dot" => {
                remarks.attributes(node, &["form"]);
                if added {
                    remarks.about(node, EDITED_DOT);
                }
                if !event.take_dot(node.attribute("form")) {
                    remarks.about(node, SECOND_DOT);
                }
            }
            "supplied" | "corr" => push(&mut open, node, true),
            "sic" | "orig" | "choice" | "app" | "lem" => push(&mut open, node, added),
            _ => match note_signs::said_by(node) {
                Some((sign, how)) => {
                    event.printed.signs.extend([sign]);
                    if let How::Around(_) = how {
                        push(&mut open, node, added);
                    } else {
                        remarks.attributes(node, &["place"]);
                    }
                }
                None => remarks.element(node),
            },
        }
    }
    if matches!(name(node), "note" | "chord") {
        if heads.is_empty() {
            return Err(remarks.fault(node, Fault::NoPitch));
        }
        event.printed.sound = Sound::Notes(heads);
    }
    Ok(event)
}

/// The value of a note or rest.
fn value(
    node: Node<'_, '_>,
    default: Option<Value>,
    remarks: &Remarks,
) -> Result<Value, ReadError> {
    let of_notes = || {
        let mut notes = elements(node).filter(|child| name(*child) == "note");
        notes.find_map(|note| note.attribute("dur"))
    };
    let Some(text) = node.attribute("dur").or_else(of_notes) else {
        return default.ok_or_else(|| remarks.fault(node, Fault::NoValue));
    };
    definition::value(text).ok_or_else(|| {
        let value = text.chars().take(24).collect();
        let is_modern = matches!(text, "long" | "breve")
            || (!text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit()));
        let fault =
            if is_modern { Fault::ModernValue { value } } else { Fault::UnknownValue { value } };
        remarks.fault(node, fault)
    })
}

/// The attributes of a note, chord or rest but its pitch and value.
fn attributes(node: Node<'_, '_>, event: &mut Event, remarks: &mut Remarks) {
    let mut known = vec![
        "accid",
        "colored",
        "dots",
        "dur",
        "dur.quality",
        "lig",
        "lines",
        "num",
        "numbase",
        "oct",
        "pname",
        "spaces",
    ];
    for (sign, attribute) in note_signs::of_attributes(node) {
        event.printed.signs.extend([sign]);
        known.push(attribute);
    }
    remarks.attributes(node, &known);
    match node.attribute("dots").map_or("0", str::trim) {
        "" | "0" => {}
        "1" => event.printed.dot = event.printed.dot.or(Some(Dot::Plain)),
        _ => {
            event.printed.dot = event.printed.dot.or(Some(Dot::Plain));
            remarks.about(node, SECOND_DOT);
        }
    }
    event.printed.colored |= is_true(node, "colored");
    event.oblique |= node.attribute("lig") == Some("obliqua");
    event.said.take(node, remarks);
}

/// A note of several at once: what it says beyond its pitch.
fn note_of_chord(node: Node<'_, '_>, event: &mut Event, added: bool, remarks: &mut Remarks) {
    if added {
        remarks.about(node, "one of several notes at once that is supplied is read as if printed");
    }
    let own = node.attribute("dur").and_then(definition::value);
    if own.is_some_and(|value| value != event.printed.value) {
        remarks.about(node, "of several notes at once, all have the value of the first");
    }
    attributes(node, event, remarks);
}

/// The step, octave and printed sign of a note.
fn head(node: Node<'_, '_>, remarks: &mut Remarks) -> Result<Note, ReadError> {
    let Some(tone) = tone(node) else {
        return Err(remarks.fault(node, Fault::NoPitch));
    };
    let printed = node.attribute("accid").and_then(|text| sign(node, text, remarks));
    Ok(Note { tone, printed, editorial: None })
}

/// The tone that `pname` and `oct` name.
pub(super) fn tone(node: Node<'_, '_>) -> Option<Tone> {
    let step = node.attribute("pname").and_then(definition::step)?;
    let octave = node.attribute("oct")?.trim().parse().ok()?;
    (0..=9).contains(&octave).then(|| Tone::new(step, octave))
}

/// An `<accid>`: what is printed goes before the note, what an editor adds above it. One that
/// only says what sounds (`accid.ges`) is not printed.
fn accidental(node: Node<'_, '_>, added: bool, head: Option<&mut Note>, remarks: &mut Remarks) {
    remarks.attributes(node, &["accid", "func"]);
    let Some(text) = node.attribute("accid") else { return };
    let Some(read) = sign(node, text, remarks) else { return };
    let Some(head) = head else { return remarks.element(node) };
    let func = node.attribute("func");
    if func.is_some_and(|func| func != "edit") {
        remarks.about(node, "what an accidental is for (`func`) is not kept");
    }
    let place = if added || func == Some("edit") { &mut head.editorial } else { &mut head.printed };
    match *place {
        None => *place = Some(read),
        Some(before) if before == read => {}
        Some(_) => remarks.about(node, "a second accidental before the same note is not kept"),
    }
}

/// A sharp (`s`, or `x` for its shape), a flat or a natural.
fn sign(node: Node<'_, '_>, text: &str, remarks: &mut Remarks) -> Option<Accidental> {
    match text {
        "s" | "x" => Some(Accidental::Sharp),
        "f" => Some(Accidental::Flat),
        "n" => Some(Accidental::Natural),
        _ => {
            remarks.about(node, "an accidental other than sharp, flat and natural is not kept");
            None
        }
    }
}

/// Over how many spaces a long rest stands. `lines` are those that it touches, one more than the
/// spaces between them.
fn spaces(node: Node<'_, '_>, value: Value, remarks: &mut Remarks) -> Option<u8> {
    let number = |name| node.attribute(name).and_then(|text| text.trim().parse::<u8>().ok());
    let spaces = number("spaces").or_else(|| number("lines")?.checked_sub(1))?;
    match (value, spaces) {
        (Value::Longa, 2 | 3) => Some(spaces),
        (Value::Longa, _) => {
            remarks.about(node, "a long rest over other than two or three spaces is read as plain");
            None
        }
        _ => None,
    }
}
