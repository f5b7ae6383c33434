//! Ends of sections that some voices lack are taken from the others.

use notation::{Code, Diagnostic, Piece};
use rudiments::{Time, Value};

use super::{BarLength, meeting, name};
use crate::reckon::{InSection, ReckonedVoice, Section, SectionEnd};

/// Gives every voice as many sections as the voice that has the most.
pub(super) fn take_from_others(
    piece: &Piece,
    voices: &mut [ReckonedVoice],
    bar: BarLength,
    diagnostics: &mut Vec<Diagnostic>,
) {
    let count = voices.iter().map(|voice| voice.sections.len()).max().unwrap_or(0);
    let (complete, lacking): (Vec<usize>, Vec<usize>) =
        (0..voices.len()).partition(|voice| voices[*voice].sections.len() == count);
    if lacking.is_empty() {
        return;
    }
    // One voice alone may have a stray double bar; several at one moment cannot.
    let sure = complete.len() > 1 && complete.len() > lacking.len();
    let mut divisions: Vec<Division> = lacking.iter().map(|_| Division::default()).collect();
    for number in 0..count - 1 {
        let models: Vec<&ReckonedVoice> = complete.iter().map(|voice| &voices[*voice]).collect();
        let length = meeting::length_of_section(piece, &models, number, bar);
        let end = models.iter().find_map(|model| model.sections[number].close);
        for (voice, division) in lacking.iter().zip(&mut divisions) {
            let voice = &voices[*voice];
            if voice.sections.len() + division.cuts.len() < count {
                let name = name(piece, voice);
                diagnostics.extend(division.divide(
                    &voice.sections,
                    name,
                    number,
                    length,
                    end,
                    sure,
                ));
            }
        }
    }
    for (voice, division) in lacking.iter().zip(divisions) {
        division.cut(&mut voices[*voice].sections);
    }
    for voice in lacking {
        let voice = &mut voices[voice];
        if voice.sections.len() < count {
            diagnostics.push(too_few(piece, voice, count));
            voice.sections.resize(count, Section::default());
        }
    }
}

/// Where the sections of a voice are divided. They are cut when all of that is known, so that what
/// comes after a cut is not moved with each of them.
#[derive(Default)]
struct Division {
    /// Of which section, before which of its events, and what ends there; in order.
    cuts: Vec<(usize, usize, SectionEnd)>,
    /// The section in which the next one begins, and its first event.
    section: usize,
    first: usize,
}

impl Division {
    /// Divides a section of a voice that goes on beyond where the others have a double bar; `sure`
    /// where most voices have it, so that it can be typed here too.
    fn divide(
        &mut self,
        sections: &[Section],
        name: &str,
        number: usize,
        length: Time,
        end: Option<SectionEnd>,
        sure: bool,
    ) -> Option<Diagnostic> {
        let events = &sections.get(self.section)?.events;
        let start = match self.first {
            0 => InSection::START,
            first => events[first].onset,
        };
        let after = start + length;
        let place = self.first + events[self.first..].partition_point(|event| event.onset < after);
        if place == self.first || place == events.len() {
            // It ends here itself, or does not begin before it should end.
            (self.section, self.first) = (self.section + 1, 0);
            return None;
        }
        let event = &events[place - 1];
        let fits = event.end() == after || (event.end() > after && event.value <= Value::Breve);
        let (span, repeat) = (event.span, end.is_some_and(|end| end.repeat));
        let mark = if repeat { "::" } else { "||" };
        self.cuts.push((self.section, place, SectionEnd { repeat, span }));
        self.first = place;
        let type_it = format!("type {mark} after this note, if it is printed there");
        Some(if fits {
            let message =
                format!("the end of section {} is taken from the other voices", number + 1);
            let found = Diagnostic::new(Code::SectionTaken, span, message).help(type_it);
            let after = notation::Span { start: span.end, end: span.end };
            if sure { found.fix(after, format!(" {mark}")) } else { found }
        } else {
            let message = format!("{name} has no {mark} where the other voices have theirs");
            Diagnostic::new(Code::NotMeeting, span, message).help(format!(
                "section {} has {} minims in the other voices, and no note of {name} ends there",
                number + 1,
                length.spoken()
            ))
        })
    }

    /// Cuts the sections, the last cut first.
    fn cut(self, sections: &mut Vec<Section>) {
        let mut cuts = self.cuts.into_iter().rev().peekable();
        let mut divided: Vec<Section> = Vec::with_capacity(sections.len() + cuts.len());
        while let Some(mut section) = sections.pop() {
            let own = sections.len();
            while let Some((_, place, end)) = cuts.next_if(|(of, ..)| *of == own) {
                divided.push(split_off(&mut section, place, end));
            }
            divided.push(section);
        }
        divided.reverse();
        *sections = divided;
    }
}

/// Takes the events from a place on out of a section, as a section of their own.
fn split_off(section: &mut Section, place: usize, end: SectionEnd) -> Section {
    let start = section.events[place].onset;
    let moved = |at: InSection| InSection::START + (at - start);
    let events = section.events.split_off(place).into_iter();
    let events = events.map(|event| {
        let onset = moved(event.onset);
        event.at(onset)
    });
    let split = |times: &mut Vec<(InSection, notation::Span)>| {
        let first = times.partition_point(|(time, _)| *time <= start);
        times.split_off(first).into_iter().map(|(time, span)| (moved(time), span)).collect()
    };
    let later = section.mensurations.partition_point(|(from, _)| *from <= start);
    let mut mensurations = vec![(InSection::START, section.mensuration_at(start))];
    let later = section.mensurations.split_off(later).into_iter();
    mensurations.extend(later.map(|(from, mensuration)| (moved(from), mensuration)));
    let first = section.changes.partition_point(|(before, _)| *before < place);
    let changes = section.changes.split_off(first);
    let rest = Section {
        events: events.collect(),
        end: moved(section.end),
        mensurations,
        changes: changes.into_iter().map(|(before, change)| (before - place, change)).collect(),
        bar_lines: split(&mut section.bar_lines),
        line_ends: split(&mut section.line_ends),
        close: section.close.replace(end),
    };
    section.end = start;
    rest
}

fn too_few(piece: &Piece, voice: &ReckonedVoice, count: usize) -> Diagnostic {
    let (name, has) = (name(piece, voice), voice.sections.len());
    let sections = if has == 1 { "section" } else { "sections" };
    let message = format!("{name} has {has} {sections}, but other voices have {count}");
    Diagnostic::new(Code::NotMeeting, piece.voices[voice.place].span, message)
        .help("look for a || that is missing here or too many elsewhere, or for music left out")
}
