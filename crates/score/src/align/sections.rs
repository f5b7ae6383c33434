//! Ends of sections that some voices lack are taken from the others.

use notation::{Code, Diagnostic, Piece};
use rudiments::{Time, Value};

use super::{meeting, name};
use crate::reckon::{ReckonedVoice, Section, SectionEnd};

/// Gives every voice as many sections as the voice that has the most.
pub(super) fn take_from_others(
    piece: &Piece,
    voices: &mut [ReckonedVoice],
    bar: Time,
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
    for number in 0..count - 1 {
        let models: Vec<&ReckonedVoice> = complete.iter().map(|voice| &voices[*voice]).collect();
        let length = meeting::length_of_section(piece, &models, number, bar);
        let end = models.iter().find_map(|model| model.sections[number].end);
        for voice in &lacking {
            let voice = &mut voices[*voice];
            if voice.sections.len() < count {
                let name = name(piece, voice);
                diagnostics.extend(divide(voice, name, number, length, end, sure));
            }
        }
    }
    for voice in lacking {
        let voice = &mut voices[voice];
        if voice.sections.len() < count {
            diagnostics.push(too_few(piece, voice, count));
            voice.sections.resize(count, Section::default());
        }
    }
}

/// Divides a section of a voice that goes on beyond where the others have a double bar; `sure` where
/// most voices have it, so that it can be typed here too.
fn divide(
    voice: &mut ReckonedVoice,
    name: &str,
    number: usize,
    length: Time,
    end: Option<SectionEnd>,
    sure: bool,
) -> Option<Diagnostic> {
    let section = voice.sections.get_mut(number)?;
    let place = section.events.iter().rposition(|event| event.onset < length)?;
    if place + 1 == section.events.len() {
        // It ends here itself.
        return None;
    }
    let event = &section.events[place];
    let fits = event.end() == length || (event.end() > length && event.value <= Value::Breve);
    let (span, repeat) = (event.span, end.is_some_and(|end| end.repeat));
    let mark = if repeat { "::" } else { "||" };
    let rest = split_off(section, place + 1, SectionEnd { repeat, span });
    voice.sections.insert(number + 1, rest);
    let after = format!("type {mark} after this note, if it is printed there");
    Some(if fits {
        let message = format!("the end of section {} is taken from the other voices", number + 1);
        let found = Diagnostic::new(Code::SectionTaken, span, message).help(after);
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

/// Takes the events from a place on out of a section, as a section of their own.
fn split_off(section: &mut Section, place: usize, end: SectionEnd) -> Section {
    let start = section.events[place].onset;
    let mut events = section.events.split_off(place);
    for event in &mut events {
        event.onset = event.onset - start;
    }
    let moved = |times: &mut Vec<(Time, notation::Span)>| {
        let first = times.iter().position(|(time, _)| *time > start).unwrap_or(times.len());
        times.split_off(first).into_iter().map(|(time, span)| (time - start, span)).collect()
    };
    let first = section.changes.iter().position(|(before, _)| *before >= place);
    let changes = section.changes.split_off(first.unwrap_or(section.changes.len()));
    let rest = Section {
        events,
        length: section.length - start,
        changes: changes.into_iter().map(|(before, change)| (before - place, change)).collect(),
        bar_lines: moved(&mut section.bar_lines),
        line_ends: moved(&mut section.line_ends),
        end: section.end.replace(end),
    };
    section.length = start;
    rest
}

fn too_few(piece: &Piece, voice: &ReckonedVoice, count: usize) -> Diagnostic {
    let (name, has) = (name(piece, voice), voice.sections.len());
    let sections = if has == 1 { "section" } else { "sections" };
    let message = format!("{name} has {has} {sections}, but other voices have {count}");
    Diagnostic::new(Code::NotMeeting, piece.voices[voice.place].span, message)
        .help("look for a || that is missing here or too many elsewhere, or for music left out")
}
