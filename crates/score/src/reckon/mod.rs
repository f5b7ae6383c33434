//! How long every event lasts, voice by voice.
//!
//! A voice is walked through once, to know which sign holds for which event ([`walk`], [`signs`]).
//! Each stretch between signs is then counted: what a value has alone, what dots and coloration
//! make of it ([`dots`], [`coloration`]), and how perfect notes are made imperfect and others
//! altered ([`perfection`]). Where the reading of a sign is divided, the piece is counted under
//! each, and the voices decide ([`readings`]). Every event keeps the rule that gave it its length
//! ([`Rule`]); [`section`] puts them one after another.

mod coloration;
mod dots;
mod exact;
mod figures;
mod perfection;
mod questions;
mod readings;
mod section;
mod shape;
mod signs;
mod sound;
mod walk;
mod written;

use notation::{Code, Diagnostic, Item, ItemKind, Piece, Voice};
use rudiments::{Circle, Clef, ClefShape, Mensuration, Proportion, Sign, Time};

use crate::rule::Rule;
use exact::Exact;
use questions::{Asked, Doubtful, Question, Readings};
use readings::Counted;
use section::lay_out;
pub(crate) use section::{
    InSection, Mensurations, ReckonedVoice, Section, SectionEnd, SectionEvent,
};
pub use shape::NoteShape;
use signs::Practice;
pub(crate) use sound::Sounding;
use walk::{Walked, walk};
use written::Written;

/// The clef that is assumed where none was typed, which is an error.
pub(crate) const ASSUMED_CLEF: Clef = Clef { shape: ClefShape::C, line: 3 };

/// All voices that are written out and have music, with their lengths, and what was noticed.
#[derive(Clone, PartialEq, Debug)]
pub struct Reckoned {
    /// The voices, in the order of the piece.
    pub(crate) voices: Vec<ReckonedVoice>,
    /// What is wrong or doubtful.
    pub diagnostics: Vec<Diagnostic>,
}

/// Counts all voices of a piece.
pub fn reckon(piece: &Piece) -> Reckoned {
    let practice = Practice {
        strokes_differ: differ(piece, |sign| sign.stroke || sign.circle == Some(Circle::Reversed)),
        dots_differ: differ(piece, |sign| sign.dot),
        ..Practice::default()
    };
    let counted = readings::choose(|readings| count(piece, Practice { readings, ..practice }));
    let Counted { voices: counted, mut diagnostics, .. } = counted;
    let mut exact = Exact::new(piece.voices.len());
    let mut voices = Vec::new();
    for (place, walked) in counted {
        let sections = lay_out(piece, place, &walked, &mut exact, &mut diagnostics);
        if sections.iter().any(|section| !section.events.is_empty()) {
            voices.push(ReckonedVoice { place, sections });
        }
    }
    diagnostics.extend(coloration::choose(&mut voices, &mut exact).map(|(span, how)| {
        let message = format!("these black notes {how}, so that they go with the other voices");
        Diagnostic::new(Code::ReadingTaken, span, message).help(
            "type `ratio 1:1` before a group that keeps its values, `ratio 3:2` for two thirds, \
             `ratio 3:1` for three in the time of one white, and `ratio 1:1` after it",
        )
    }));
    diagnostics.extend(coloration::minor_color(&mut voices).map(|span| {
        let message = "this black semibreve and minim are read as dotted minim and semiminim, so \
                       that they go with another voice";
        Diagnostic::new(Code::ReadingTaken, span, message)
            .help("where they are two thirds of their values, type `ratio 3:2` before them")
    }));
    Reckoned { voices, diagnostics }
}

/// Counts all voices that are written out, under a practice.
fn count(piece: &Piece, practice: Practice) -> Counted {
    let mut diagnostics = Vec::new();
    let mut asked = Asked::default();
    let mut voices = Vec::new();
    for (place, voice) in piece.voices.iter().enumerate() {
        if voice.canon.is_none() {
            let mut walked = walk(voice, practice, &mut asked, &mut diagnostics);
            count_stretches(voice, &mut walked, practice.readings, &mut asked);
            voices.push((place, walked));
        }
    }
    Counted { voices, asked, diagnostics }
}

/// Whether the voices differ in something of their signs, one after another.
fn differ(piece: &Piece, has: impl Fn(Sign) -> bool) -> bool {
    let mut orders = piece.voices.iter().filter(|voice| voice.canon.is_none()).map(|voice| {
        let inside = voice.items.iter().filter_map(|item| match item.kind {
            ItemKind::Sign(sign) if item.standing.is_read() => Some(sign),
            _ => None,
        });
        let signs = voice.sign.into_iter().chain(inside).filter(|sign| sign.circle.is_some());
        let mut order: Vec<bool> = signs.map(&has).collect();
        order.dedup();
        order
    });
    let Some(first) = orders.by_ref().find(|order| !order.is_empty()) else { return false };
    orders.any(|order| !order.is_empty() && order != first)
}

/// Gives every event of a voice its length.
fn count_stretches(voice: &Voice, walked: &mut Walked, readings: Readings, asked: &mut Asked) {
    let mut divided = None;
    for (number, stretch) in walked.stretches.iter().enumerate() {
        let end = walked.stretches.get(number + 1).map_or(walked.events.len(), |next| next.first);
        let events = &mut walked.events[stretch.first..end];
        dots::tell_apart(events, stretch.mensuration);
        for event in &mut *events {
            event.count_alone(stretch.mensuration);
        }
        let group = coloration::count(events, stretch, readings.duple());
        divided = divided.or_else(|| {
            let rule = events[group?].rule;
            Some((stretch.first + group?, rule))
        });
        perfection::count(events, stretch.mensuration);
    }
    if let Some((place, rule)) = divided {
        let events = voice.items.iter().filter(|item| is_read_event(item));
        let span = events.skip(place).map(|item| item.span).next().unwrap_or_default();
        asked.ask(Question::Coloration, || Doubtful {
            span,
            opens: false,
            what: "black notes are".to_owned(),
            reading: match rule {
                Rule::ColoredThreeForOne => "three in the time of one white",
                _ => "two thirds of their plain value",
            }
            .to_owned(),
        });
    }
}

/// How long notes and rests last that stand next to one another under a mensuration, in minims before
/// any proportion; one length for each shape. Black ones are imperfect.
///
/// What stands before the first or after the last is not known, so lengths near the ends may be others
/// than amid the whole voice. Lengths of notes that the editor has set must be below [`Time`]'s bounds,
/// as those of a reckoned piece are.
pub fn lengths(mensuration: Mensuration, shapes: &[NoteShape]) -> Vec<Time> {
    let mut written: Vec<Written> = shapes.iter().map(|shape| Written::new(*shape)).collect();
    dots::tell_apart(&mut written, mensuration);
    for event in &mut written {
        event.black = event.colored;
        event.count_alone(mensuration);
    }
    perfection::count(&mut written, mensuration);
    written.iter().map(|event| event.length).collect()
}

/// The lengths that events of a voice, counted plainly before, would have under another mensuration.
pub(crate) fn count_under(
    mensuration: Mensuration,
    voice: &Voice,
    events: &[SectionEvent],
) -> Vec<Time> {
    let shapes: Vec<(NoteShape, Proportion)> = events
        .iter()
        .filter_map(|event| {
            let printed = voice.items.get(event.item?.item)?.event()?;
            Some((NoteShape::of(printed), event.proportion))
        })
        .collect();
    let alone: Vec<NoteShape> = shapes.iter().map(|(shape, _)| *shape).collect();
    let lengths = lengths(mensuration, &alone).into_iter().zip(shapes);
    lengths
        .map(|(length, (shape, in_force))| match shape.set {
            None if !in_force.is_equal() => length * in_force,
            _ => length,
        })
        .collect()
}

fn is_read_event(item: &Item) -> bool {
    item.standing.is_read() && matches!(item.kind, ItemKind::Event(_))
}

#[cfg(test)]
mod tests;
