//! Passages that seem to stand under a sign of proportion which is missing.
//!
//! A sign may be missing in the print, or in what was typed of it. Three things give it away:
//!
//! - some voices have the sign and another has not, and comes to its last note late by just that
//!   ([`some`]);
//! - the voices do not meet, but would, if a passage that all begin and end together were read in
//!   threes, three minims in the time of two ([`apart`]);
//! - the voices meet, but a passage in which all move together goes in threes, against the beat
//!   ([`together`]).
//!
//! Advice is given where there is one answer alone: a reader would rather have none than a wrong
//! one. Bounds were tuned on the twelve madrigals of 1582 of the SEILS dataset, of which two lack
//! such signs, and on the mass duos of the JLSDD dataset, which lack none.

mod apart;
mod some;
mod together;

use std::ops::Sub;

use notation::{Code, Diagnostic, Piece, Voice};
use rudiments::{Proportion, Sign, Time, Value};

use crate::reckon::{InSection, Reckoned, ReckonedVoice, Section, SectionEvent};
use crate::rule::Rule;
use crate::timed::Change;

/// No larger piece is searched.
const MOST_EVENTS: usize = 50_000;

/// The fewest perfections of a passage that shows itself as triple.
const FEWEST_PERFECTIONS: i64 = 4;

/// A voice in a section.
struct Line<'r> {
    printed: &'r Voice,
    section: &'r Section,
}

impl Line<'_> {
    fn events(&self) -> &[SectionEvent] {
        &self.section.events
    }

    /// When its last note begins.
    fn last_onset(&self) -> Option<InSection> {
        self.events().last().map(|event| event.onset)
    }

    /// The event that begins at a time.
    fn at(&self, time: InSection) -> Option<usize> {
        self.events().binary_search_by(|event| event.onset.cmp(&time)).ok()
    }

    /// The sign printed right before an event.
    fn sign_before(&self, place: usize) -> Option<Sign> {
        let signs = self.section.changes.iter().rev().filter(|(before, _)| *before == place);
        signs.into_iter().find_map(|(_, change)| match change {
            Change::Sign(sign) => Some(*sign),
            _ => None,
        })
    }

    /// The sign that is in force at an event: the last one that has a circle.
    fn sign_at(&self, place: usize) -> Option<Sign> {
        let inside = self.section.changes.iter().rev().filter(|(before, _)| *before <= place);
        let inside = inside.into_iter().find_map(|(_, change)| match change {
            Change::Sign(sign) if sign.circle.is_some() => Some(*sign),
            _ => None,
        });
        inside.or(self.printed.sign)
    }
}

/// A passage of a voice, and the signs to type.
struct Passage {
    /// Its voice, as a place among the lines.
    line: usize,
    /// Its first event, and the one after its last.
    first: usize,
    end: usize,
    sign: Sign,
    /// The sign after it; none where it goes on to the end.
    back: Option<Sign>,
}

/// Three minims in the time of two, as the figures alone say it.
const SESQUIALTERA: Sign =
    Sign { circle: None, dot: false, stroke: false, upper: Some(3), lower: Some(2) };

/// The figure 3 alone.
const THREE: Sign = Sign { lower: None, ..SESQUIALTERA };

/// Where a sign of proportion seems to be missing in a piece.
pub(crate) fn missing_signs(piece: &Piece, reckoned: &Reckoned) -> Vec<Diagnostic> {
    let voices = &reckoned.voices;
    let sections = voices.iter().map(|voice| voice.sections.len()).min().unwrap_or(0);
    let count = |voice: &ReckonedVoice| -> usize {
        voice.sections.iter().map(|section| section.events.len()).sum()
    };
    if voices.len() < 2 || voices.iter().map(count).sum::<usize>() > MOST_EVENTS {
        return Vec::new();
    }
    (0..sections).flat_map(|number| in_section(piece, voices, number)).collect()
}

fn in_section(piece: &Piece, voices: &[ReckonedVoice], number: usize) -> Vec<Diagnostic> {
    let lines: Vec<Line<'_>> = voices
        .iter()
        .map(|voice| {
            let printed = &piece.voices[voice.place];
            let section = &voice.sections[number];
            Line { printed, section }
        })
        .collect();
    if lines.iter().any(|line| line.events().is_empty()) {
        return Vec::new();
    }
    let meet = lines.iter().all(|line| line.last_onset() == lines[0].last_onset());
    let passages = if meet {
        together::find(&lines)
    } else {
        let found = some::find(&lines);
        if found.is_empty() { apart::find(&lines) } else { found }
    };
    passages.iter().map(|passage| say(&lines[passage.line], passage)).collect()
}

fn say(line: &Line<'_>, passage: &Passage) -> Diagnostic {
    let events = line.events();
    let (first, last) = (&events[passage.first], &events[passage.end - 1]);
    let number =
        |event: &SectionEvent| event.index.map_or("?".to_owned(), |index| index.to_string());
    let (name, sign) = (&line.printed.name, passage.sign);
    let message = format!(
        "{name} {} to {} seem to stand under a sign that is missing: {sign}",
        number(first),
        number(last)
    );
    let back = match (passage.back, events.get(passage.end)) {
        (Some(back), Some(next)) => format!(" and `sign {back}` before {}", number(next)),
        _ => String::new(),
    };
    let help = format!(
        "if the print has it, type `sign {sign}` before {}{back}; then three minims go in the time \
         of two",
        number(first)
    );
    Diagnostic::new(Code::MissingSign, first.span, message)
        .related(last.span, "to this one")
        .help(help)
}

/// Whether an event is counted plainly, so that it might stand under another sign.
fn is_plain(event: &SectionEvent) -> bool {
    event.proportion == Proportion::EQUAL
        && matches!(event.rule, Rule::Plain | Rule::DotAdds)
        && !event.colored
}

/// The times at which every voice begins a note or rest, with the places of these.
///
/// `times` gives the rising times of a voice's events.
fn common<At: Copy + Ord>(times: &[Vec<At>]) -> Vec<(At, Vec<usize>)> {
    let Some((first, others)) = times.split_first() else { return Vec::new() };
    let mut next = vec![0; others.len()];
    let mut found = Vec::new();
    for (place, time) in first.iter().enumerate() {
        let mut places = vec![place];
        for (other, next) in others.iter().zip(&mut next) {
            while other.get(*next).is_some_and(|at| at < time) {
                *next += 1;
            }
            if other.get(*next) == Some(time) {
                places.push(*next);
            }
        }
        if places.len() == times.len() {
            found.push((*time, places));
        }
    }
    found
}

/// How many notes run across the end of a perfection, where perfections of three minims begin at a
/// time.
fn crossing<'e, At: Copy + Sub<Output = Time>>(
    spans: impl Iterator<Item = (At, At)> + 'e,
    start: At,
) -> usize {
    let three = Time::minims(3);
    spans
        .filter(|(onset, end)| {
            let within = (*onset - start).within(three);
            !within.is_zero() && within + (*end - *onset) > three || *end - *onset > three
        })
        .count()
}

/// How many notes may run across the ends of perfections: one for every four voices.
fn tolerated(voices: usize) -> usize {
    voices / 4
}

/// The largest and smallest value of such a passage.
fn is_white(event: &SectionEvent) -> bool {
    (Value::Semibreve..=Value::Semiminim).contains(&event.value)
}

#[cfg(test)]
mod tests {
    use notation::parse;

    use super::*;
    use crate::reckon::reckon;

    /// What is said of voices under `C`, the music of each.
    fn said(voices: &[&str]) -> Vec<String> {
        let voices = voices.iter().enumerate();
        let text: String = voices
            .map(|(place, music)| format!("voice V{place} clef C1 sign C\n  {music}\n"))
            .collect();
        let parsed = parse(&text);
        assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
        let found = missing_signs(&parsed.piece, &reckon(&parsed.piece));
        found
            .into_iter()
            .map(|found| format!("{}; {}", found.message, found.help.unwrap()))
            .collect()
    }

    const TRIPLE: &str = "br G mn G A G sb A mn G A G A G sb A br G lg G";

    #[test]
    fn all_go_together_in_threes_against_the_beat() {
        let found = said(&[TRIPLE; 4]);
        assert_eq!(found.len(), 4);
        assert_eq!(
            found[0],
            "V0 2 to 11 seem to stand under a sign that is missing: 3; if the print has it, type \
             `sign 3` before 2 and `sign C` before 12; then three minims go in the time of two"
        );
    }

    #[test]
    fn on_the_beat_nothing_is_said() {
        let duple = "br G mn G A G A sb G mn G A sb G A br G lg G";
        assert_eq!(said(&[duple; 4]), [] as [&str; 0]);
    }

    #[test]
    fn where_one_voice_goes_on_in_twos_nothing_is_said() {
        let duple = "br G sb G A G A G A br G lg G";
        assert_eq!(said(&[TRIPLE, TRIPLE, duple]), [] as [&str; 0]);
    }

    /// Rests of a semibreve, of which two voices have different numbers, are perfect in threes.
    #[test]
    fn voices_that_would_meet_in_threes() {
        let found = said(&[
            "br G sb _ _ sb G mn A sb G A lg G",
            "br G mn G A G sb G mn A mn G A G sb A G lg G",
            "br G mn G A G sb _ mn G A G sb A G lg G",
        ]);
        assert_eq!(found.len(), 3);
        assert!(found[0].starts_with("V0 2 to 5 seem to stand"), "{}", found[0]);
        assert!(
            found[0].contains("type `sign 3/2` before 2 and `sign C` before 6"),
            "{}",
            found[0]
        );
        assert!(found[1].starts_with("V1 2 to 9 seem to stand"), "{}", found[1]);
    }

    #[test]
    fn a_single_voice_that_is_late_has_more_likely_a_slip() {
        let voice = "br G mn G A G sb G mn A mn G A G sb A G lg G";
        assert_eq!(
            said(&[voice, voice, "br G sb _ mn G A G mn G A G sb A G lg G"]),
            [] as [&str; 0]
        );
    }

    #[test]
    fn a_sign_that_other_voices_have() {
        let with = "sb G sign 3/2 sb G mn G mn G A G sign C sb G lg G";
        let without = "sb G mn G A G sb _ sb G lg G";
        let found = said(&[with, without]);
        assert_eq!(found.len(), 1);
        assert!(found[0].starts_with("V1 2 to 5 seem to stand"), "{}", found[0]);
        assert!(found[0].contains("`sign 3/2` before 2 and `sign C` before 6"), "{}", found[0]);
    }
}
