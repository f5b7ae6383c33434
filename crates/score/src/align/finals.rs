//! The last events of the voices in a section.

use notation::{Piece, Span};
use rudiments::{Time, Value};

use super::name;
use crate::reckon::{InSection, ReckonedVoice, Section, SectionEvent};
use crate::rule::Rule;

/// The last event of a voice in a section.
#[derive(Clone, Copy, Debug)]
pub(super) struct Final<'p> {
    pub(super) name: &'p str,
    /// When it begins.
    pub(super) onset: InSection,
    /// Where its own value leads.
    pub(super) end: InSection,
    pub(super) value: Value,
    pub(super) is_rest: bool,
    /// Whether another voice follows it in canon, so that it comes to its end before the others.
    pub(super) is_followed: bool,
    /// Whether the editor says how long it lasts.
    pub(super) has_editors_length: bool,
    pub(super) span: Span,
    /// Whether it neither begins nor ends where plain values can, because of a proportion.
    pub(super) is_broken: bool,
}

impl<'p> Final<'p> {
    /// That of a section, if the voice has it.
    pub(super) fn of(piece: &'p Piece, voice: &ReckonedVoice, number: usize) -> Option<Final<'p>> {
        let section: &Section = voice.sections.get(number)?;
        let event = section.events.last()?;
        Some(Final {
            name: name(piece, voice),
            onset: event.onset,
            end: section.end,
            value: event.value,
            is_rest: event.is_rest(),
            is_followed: piece
                .voices
                .iter()
                .any(|follower| follower.canon.is_some_and(|canon| canon.dux == voice.place)),
            has_editors_length: event.rule == Rule::Editor,
            span: event.span,
            is_broken: is_broken(section),
        })
    }
}

/// Whether the last event of a section neither begins nor ends where plain values can, because of a
/// proportion.
fn is_broken(section: &Section) -> bool {
    // Plain values are halves of one another.
    let apart = |time: Time| !(time.denominator() as u64).is_power_of_two();
    let by_proportion = |event: &SectionEvent| apart(event.length) && !event.proportion.is_equal();
    section.events.last().is_some_and(|last| apart(last.onset.passed()))
        && apart(section.end.passed())
        && section.events.iter().any(by_proportion)
}
