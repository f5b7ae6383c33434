//! How long every event lasts, voice by voice.
//!
//! For now everything is counted plainly, two of the smaller in one of the larger; dots,
//! coloration, ratios and the editor's lengths are considered.

mod sound;

use notation::{Code, Diagnostic, Dot, Event, Item, ItemKind, Piece, Sound, Span, Voice};
use rudiments::{Clef, ClefShape, Proportion, Sign, Time, Value};

use crate::timed::{Change, TimedEvent};
pub(crate) use sound::Sounding;

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
    let mut exact = Exact { common: 1 };
    let mut diagnostics = Vec::new();
    let mut voices = Vec::new();
    for (place, voice) in piece.voices.iter().enumerate() {
        kept_signs(piece, place, &mut diagnostics);
        if voice.canon.is_none() {
            let sections = reckon_voice(voice, &mut exact, &mut diagnostics);
            if sections.iter().any(|section| !section.events.is_empty()) {
                voices.push(ReckonedVoice { place, sections });
            }
        }
    }
    Reckoned { voices, diagnostics }
}

/// Keeps all lengths within what can be added exactly.
struct Exact {
    /// The common denominator of all lengths so far.
    common: i64,
}

impl Exact {
    /// The length, if it can be kept together with all others.
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

fn reckon_voice(
    voice: &Voice,
    exact: &mut Exact,
    diagnostics: &mut Vec<Diagnostic>,
) -> Vec<Section> {
    let mut sections = Vec::new();
    let mut section = Section::default();
    let mut ratio = Proportion::EQUAL;
    let mut sounding = Sounding::new(voice.signature);
    for item in voice.items.iter().filter(|item| item.standing.is_read()) {
        let before = section.events.len();
        let mut change = |change| section.changes.push((before, change));
        match &item.kind {
            ItemKind::Event(event) => {
                let proportion =
                    if event.colored { ratio.and(Proportion::SESQUIALTERA) } else { ratio };
                let length = exact.admit(length(event, proportion)).unwrap_or_else(|| {
                    diagnostics.push(too_fine(item));
                    event.value.plain()
                });
                let event = timed(item, event, section.length, length, proportion, &mut sounding);
                section.length += length;
                section.events.push(event);
            }
            ItemKind::Clef(clef) => change(Change::Clef(*clef)),
            ItemKind::Signature(signature) => {
                sounding.signature = *signature;
                change(Change::Signature(*signature));
            }
            ItemKind::Sign(sign) => {
                ratio = Proportion::EQUAL;
                change(Change::Sign(*sign));
            }
            ItemKind::Ratio(decided) => ratio = *decided,
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

/// How long an event lasts in plain counting.
fn length(event: &Event, proportion: Proportion) -> Time {
    if let Some(length) = event.length {
        return length;
    }
    let written = match event.sound {
        Sound::Rest { spaces: Some(spaces) } => Value::Breve.plain() * spaces as i64,
        _ => event.value.plain(),
    };
    let written = if dot_adds(event) { written + written.half() } else { written };
    written * proportion
}

/// Whether a dot adds half to the event; a dot of division adds nothing.
fn dot_adds(event: &Event) -> bool {
    matches!(event.dot, Some(Dot::Plain | Dot::Adds))
}

fn timed(
    item: &Item,
    event: &Event,
    onset: Time,
    length: Time,
    proportion: Proportion,
    sounding: &mut Sounding,
) -> TimedEvent {
    TimedEvent {
        index: event.index,
        span: item.span,
        onset,
        length,
        value: event.value,
        dotted: dot_adds(event),
        // The editor's length is what it is.
        proportion: if event.length.is_some() { Proportion::EQUAL } else { proportion },
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

/// The signs and perfections that are kept, but counted plainly.
fn kept_signs(piece: &Piece, place: usize, diagnostics: &mut Vec<Diagnostic>) {
    let voice = &piece.voices[place];
    let mut report =
        |span, what: String| {
            let message = format!("{what} is kept, but counted plainly");
            diagnostics.push(Diagnostic::new(Code::CountedPlainly, span, message).help(
                "where it changes lengths, type `ratio 3:2` after it, or D=3 for a single note",
            ));
        };
    let sign_at_the_beginning = voice.sign.filter(|sign| !sign.is_plain());
    if let Some(sign) = sign_at_the_beginning
        // A sign of the head is reported with the first voice that it holds for.
        && (piece.head.sign != Some(sign)
            || piece.voices[..place].iter().all(|voice| voice.sign != Some(sign)))
    {
        report(voice.span, format!("the sign {sign}"));
    }
    let mut pending: Option<(Span, Sign)> = None;
    for item in voice.items.iter().filter(|item| item.standing.is_read()) {
        match &item.kind {
            ItemKind::Sign(sign) if !sign.is_plain() => {
                if let Some((span, sign)) = pending.replace((item.span, *sign)) {
                    report(span, format!("the sign {sign}"));
                }
            }
            // The editor has decided what the sign means.
            ItemKind::Ratio(_) => pending = None,
            ItemKind::Event(_) | ItemKind::Sign(_) => {
                if let Some((span, sign)) = pending.take() {
                    report(span, format!("the sign {sign}"));
                }
            }
            ItemKind::Perfection { value, perfect: true } => {
                report(item.span, format!("the perfection of the {}", value.name()));
            }
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests;
