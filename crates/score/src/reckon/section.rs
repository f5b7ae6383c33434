//! Sections: what a voice has between two double bars, its counted events one after another.

use std::ops::{Add, Sub};

use notation::{
    Code, Diagnostic, Event, Item, ItemId, ItemKind, Piece, SECTION_END, Span, too_long,
};
use rudiments::{Mensuration, Time};

use super::exact::Exact;
use super::sound::Sounding;
use super::walk::Walked;
use super::written::Written;
use crate::rule::Rule;
use crate::timed::{Change, TimedEvent};

/// A voice whose events have lengths and, within their section, onsets.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct ReckonedVoice {
    /// Its place in the piece.
    pub(crate) place: usize,
    pub(crate) sections: Vec<Section>,
}

/// A moment of a section, counted from its beginning. Where that is in the piece is known when all
/// voices are counted.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Default)]
pub(crate) struct InSection(Time);

impl InSection {
    /// The beginning of a section.
    pub(crate) const START: InSection = InSection(Time::ZERO);

    /// How much of the section is over by then.
    pub(crate) fn passed(self) -> Time {
        self.0
    }
}

impl Add<Time> for InSection {
    type Output = InSection;
    fn add(self, length: Time) -> InSection {
        InSection(self.0 + length)
    }
}

impl Sub for InSection {
    type Output = Time;
    fn sub(self, other: InSection) -> Time {
        self.0 - other.0
    }
}

/// A note or rest while its voice is counted.
pub(crate) type SectionEvent = TimedEvent<InSection>;

/// By which mensuration bars are drawn, from when on; nothing in a proportion.
pub(crate) type Mensurations = Vec<(InSection, Option<Mensuration>)>;

/// What a voice has between two double bars.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Section {
    /// What is read in it, in order.
    pub(crate) events: Vec<SectionEvent>,
    /// Where the values printed in it lead.
    pub(crate) end: InSection,
    /// What happens before the event of that number.
    pub(crate) changes: Vec<(usize, Change)>,
    /// By which mensuration bars are drawn, from when on; nothing in a proportion.
    pub(crate) mensurations: Mensurations,
    /// Printed bar lines.
    pub(crate) bar_lines: Vec<(InSection, Span)>,
    /// The ends of the source's lines and pages.
    pub(crate) line_ends: Vec<(InSection, Span)>,
    /// What ends it; nothing for the last one.
    pub(crate) close: Option<SectionEnd>,
}

impl Section {
    /// The mensuration by which the bar of a moment is drawn; nothing in a proportion.
    pub(crate) fn mensuration_at(&self, at: InSection) -> Option<Mensuration> {
        let begun = self.mensurations.partition_point(|(from, _)| *from <= at);
        self.mensurations.get(begun.checked_sub(1)?)?.1
    }
}

/// A `||` or `::`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct SectionEnd {
    pub(crate) repeat: bool,
    pub(crate) span: Span,
}

/// Puts the counted events of a voice one after another, with what stands between them.
pub(super) fn lay_out(
    piece: &Piece,
    place: usize,
    walked: &Walked,
    exact: &mut Exact,
    diagnostics: &mut Vec<Diagnostic>,
) -> Vec<Section> {
    let mut sections = Vec::new();
    let mut section = Section::default();
    let mut counted = walked.events.iter().enumerate();
    let mut mensurations = walked.mensurations.iter().peekable();
    let voice = &piece.voices[place];
    let mut sounding = Sounding::new(voice.signature);
    let mut left = exact.longest;
    let items = voice.items.iter().enumerate().filter(|(_, item)| item.standing.is_read());
    for (number, item) in items {
        let before = section.events.len();
        let mut change = |change| section.changes.push((before, change));
        match &item.kind {
            ItemKind::Event(event) => {
                let Some((place_in_voice, written)) = counted.next() else { continue };
                while let Some((_, now)) =
                    mensurations.next_if(|(first, _)| *first <= place_in_voice)
                {
                    section.mensurations.push((section.end, *now));
                }
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
                let id = ItemId { voice: place, item: number };
                let onset = section.end;
                let event = timed(id, item, event, onset, written, length, &mut sounding);
                section.end = event.end();
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
                section.line_ends.push((section.end, item.span));
            }
            ItemKind::BarLine => section.bar_lines.push((section.end, item.span)),
            ItemKind::SectionEnd | ItemKind::Repeat => {
                let repeat = item.kind == ItemKind::Repeat;
                section.close = Some(SectionEnd { repeat, span: item.span });
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
    id: ItemId,
    item: &Item,
    event: &Event,
    onset: InSection,
    written: &Written,
    length: Option<Time>,
    sounding: &mut Sounding,
) -> SectionEvent {
    TimedEvent {
        item: Some(id),
        index: event.index,
        span: item.span,
        onset,
        length: length.unwrap_or_else(|| event.value.plain()),
        value: event.value,
        dotted: written.is_dotted(),
        mensuration: written.mensuration,
        proportion: written.whole_proportion(),
        rule: if length.is_some() { written.rule } else { Rule::TooFine },
        notes: sounding.event(event.notes().iter().map(|n| (n.tone, n.printed, n.editorial))),
        standing: item.standing,
        signs: event.signs,
        colored: event.colored,
        ligature: event.ligature,
    }
}

fn too_fine(item: &Item) -> Diagnostic {
    let message = "this length cannot be kept exactly together with those before it";
    Diagnostic::new(Code::TimeTooFine, item.span, message)
        .help("look at the editor's length or the ratio; it is counted with its plain value")
}
