//! How long every event lasts, voice by voice.
//!
//! A voice is walked through once, to know which sign holds for which event ([`walk`], [`signs`]).
//! Each stretch between signs is then counted: what a value has alone, what dots and coloration
//! make of it ([`dots`], [`coloration`]), and how perfect notes are made imperfect and others
//! altered ([`perfection`]). Where the reading of a sign is divided, the piece is counted under
//! each, and the voices decide ([`readings`]). Every event keeps the rule that gave it its length
//! ([`rule`]).

mod coloration;
mod dots;
mod figures;
mod perfection;
mod readings;
mod rule;
mod signs;
mod sound;
mod walk;
mod written;

use notation::{
    Code, Diagnostic, Event, Item, ItemKind, Piece, SECTION_END, Span, Voice, longest_voice,
    too_long,
};
use rudiments::{Circle, Clef, ClefShape, Mensuration, Sign, Time};

use crate::timed::{Change, TimedEvent};
use readings::{Asked, Counted, Doubtful, Question, Readings};
pub use rule::{Rule, why};
use signs::Practice;
pub(crate) use sound::Sounding;
use walk::{Walked, walk};
use written::Written;

/// The largest common denominator of all lengths of a piece. Far beyond what any source asks for
/// (semifusae in three simultaneous proportions stay below 1000), and small enough that all sums
/// within the largest file stay exact in 64 bits.
const FINEST: i64 = 1_000_000;

/// The longest event, whatever length or ratio is typed.
const LONGEST: Time = Time::minims(9999);

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

/// A voice whose events have lengths and, within their section, onsets.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct ReckonedVoice {
    /// Its place in the piece.
    pub(crate) place: usize,
    pub(crate) sections: Vec<Section>,
}

/// What a voice has between two double bars.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Section {
    /// Onsets are counted from the beginning of the section.
    pub(crate) events: Vec<TimedEvent>,
    /// Where the values printed in it lead.
    pub(crate) length: Time,
    /// What happens before the event of that number.
    pub(crate) changes: Vec<(usize, Change)>,
    /// Printed bar lines.
    pub(crate) bar_lines: Vec<(Time, Span)>,
    /// The ends of the source's lines and pages.
    pub(crate) line_ends: Vec<(Time, Span)>,
    /// What ends it; nothing for the last one.
    pub(crate) end: Option<SectionEnd>,
}

/// A `||` or `::`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct SectionEnd {
    pub(crate) repeat: bool,
    pub(crate) span: Span,
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
        let voice = &piece.voices[place];
        let sections = lay_out(voice, &walked.events, &mut exact, &mut diagnostics);
        if sections.iter().any(|section| !section.events.is_empty()) {
            voices.push(ReckonedVoice { place, sections });
        }
    }
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
            what: "black notes are".to_owned(),
            reading: match rule {
                Rule::ColoredThreeForOne => "three in the time of one white",
                _ => "two thirds of their plain value",
            }
            .to_owned(),
        });
    }
}

/// The lengths that events, counted plainly before, would have under another mensuration.
pub(crate) fn count_under(mensuration: Mensuration, events: &[TimedEvent]) -> Vec<Time> {
    let mut written: Vec<Written> = events.iter().map(Written::again).collect();
    dots::tell_apart(&mut written, mensuration);
    for event in &mut written {
        event.count_alone(mensuration);
    }
    perfection::count(&mut written, mensuration);
    written.iter().map(Written::sung).collect()
}

fn is_read_event(item: &Item) -> bool {
    item.standing.is_read() && matches!(item.kind, ItemKind::Event(_))
}

/// Keeps all lengths within what can be added exactly.
struct Exact {
    /// The common denominator of all lengths so far.
    common: i64,
    /// How long a voice may be.
    longest: Time,
    /// Whether it was said that one is longer.
    too_long: bool,
}

impl Exact {
    fn new(voices: usize) -> Exact {
        Exact { common: 1, longest: longest_voice(voices), too_long: false }
    }

    /// The length of an event, if it can be kept together with all others.
    fn admit(&mut self, length: Time) -> Option<Time> {
        let common = lcm(self.common, length.denominator()).filter(|common| *common <= FINEST)?;
        if length > LONGEST {
            return None;
        }
        self.common = common;
        Some(length)
    }
}

fn lcm(a: i64, b: i64) -> Option<i64> {
    let (mut divisor, mut rest) = (a, b);
    while rest != 0 {
        (divisor, rest) = (rest, divisor % rest);
    }
    (a / divisor).checked_mul(b)
}

/// Puts the counted events of a voice one after another, with what stands between them.
fn lay_out(
    voice: &Voice,
    counted: &[Written],
    exact: &mut Exact,
    diagnostics: &mut Vec<Diagnostic>,
) -> Vec<Section> {
    let mut sections = Vec::new();
    let mut section = Section::default();
    let mut counted = counted.iter();
    let mut sounding = Sounding::new(voice.signature);
    let mut left = exact.longest;
    for item in voice.items.iter().filter(|item| item.standing.is_read()) {
        let before = section.events.len();
        let mut change = |change| section.changes.push((before, change));
        match &item.kind {
            ItemKind::Event(event) => {
                let Some(written) = counted.next() else { continue };
                let length = exact.admit(written.sung());
                left = left - length.unwrap_or_else(|| event.value.plain());
                if left < Time::ZERO {
                    if !std::mem::replace(&mut exact.too_long, true) {
                        diagnostics.push(too_long(item.span, exact.longest));
                    }
                    break;
                }
                if length.is_none() {
                    diagnostics.push(too_fine(item));
                }
                let event = timed(item, event, section.length, written, length, &mut sounding);
                section.length += event.length;
                section.events.push(event);
            }
            ItemKind::Clef(clef) => change(Change::Clef(*clef)),
            ItemKind::Signature(signature) => {
                sounding.signature = *signature;
                change(Change::Signature(*signature));
            }
            ItemKind::Sign(sign) => change(Change::Sign(*sign)),
            // The authority of an emendation is no rubric.
            ItemKind::Words(words) if item.standing.is_printed() => {
                change(Change::Words(words.clone()));
            }
            ItemKind::LineEnd | ItemKind::PageEnd => {
                let page = item.kind == ItemKind::PageEnd;
                change(if page { Change::PageEnd } else { Change::LineEnd });
                section.line_ends.push((section.length, item.span));
            }
            ItemKind::BarLine => section.bar_lines.push((section.length, item.span)),
            ItemKind::SectionEnd | ItemKind::Repeat => {
                let repeat = item.kind == ItemKind::Repeat;
                section.end = Some(SectionEnd { repeat, span: item.span });
                left = left - SECTION_END;
                sections.push(std::mem::take(&mut section));
            }
            _ => {}
        }
    }
    if !section.events.is_empty() || sections.is_empty() {
        sections.push(section);
    } else if let Some(last) = sections.last_mut() {
        // What was printed after the last double bar belongs to the end.
        let end = last.events.len();
        last.changes.extend(section.changes.into_iter().map(|(_, change)| (end, change)));
    }
    sections
}

/// An event with its length; with its plain value, where that cannot be kept.
fn timed(
    item: &Item,
    event: &Event,
    onset: Time,
    written: &Written,
    length: Option<Time>,
    sounding: &mut Sounding,
) -> TimedEvent {
    TimedEvent {
        index: event.index,
        span: item.span,
        onset,
        length: length.unwrap_or_else(|| event.value.plain()),
        value: event.value,
        dotted: written.is_dotted(),
        proportion: written.whole_proportion(),
        rule: if length.is_some() { written.rule } else { Rule::TooFine },
        notes: sounding.event(event.notes().iter().map(|n| (n.tone, n.printed, n.editorial))),
        standing: item.standing,
        corona: event.corona,
        signum: event.signum,
        doubt: event.doubt,
        colored: event.colored,
        ligature: event.ligature,
    }
}

fn too_fine(item: &Item) -> Diagnostic {
    let message = "this length cannot be kept exactly together with those before it";
    Diagnostic::new(Code::TimeTooFine, item.span, message)
        .help("look at the editor's length or the ratio; it is counted with its plain value")
}

#[cfg(test)]
mod tests;
