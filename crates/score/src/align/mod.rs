//! Where the voices meet, and the bars that follow from it.

mod bar_lines;
mod broken_end;
mod canon;
mod meeting;
mod sections;
mod source_lines;

use notation::{Diagnostic, Piece, Standing};
use rudiments::{Proportion, Time, Value};

use crate::mark;
use crate::passages;
use crate::reckon::{ASSUMED_CLEF, InSection, Reckoned, ReckonedVoice, Section};
use crate::rule::Rule;
use crate::timed::{Bar, Change, Close, Heading, Score, TimedEvent, TimedVoice};
use meeting::meet;

/// How long a bar is.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum BarLength {
    /// Four minims.
    #[default]
    Breve,
    /// Two minims.
    Semibreve,
}

impl BarLength {
    /// In minims.
    pub fn time(self) -> Time {
        match self {
            BarLength::Breve => Value::Breve.plain(),
            BarLength::Semibreve => Value::Semibreve.plain(),
        }
    }
}

/// A score, and what was noticed on the way to it.
#[derive(Clone, PartialEq, Debug)]
pub struct Aligned {
    /// The score; it has no voices where the piece has no music.
    pub score: Score,
    /// What is wrong or doubtful: that of reckoning, then that of aligning.
    pub diagnostics: Vec<Diagnostic>,
}

/// Lays the counted voices side by side, section by section, and draws the bars.
///
/// Finals, and the notes before a double bar, are held or trimmed to where the voices meet. Where
/// they do not meet, that is reported, and the score is laid out all the same.
pub fn align(piece: &Piece, reckoned: Reckoned, bar: BarLength) -> Aligned {
    let Reckoned { mut voices, mut diagnostics } = reckoned;
    let bar = bar.time();
    sections::take_from_others(piece, &mut voices, bar, &mut diagnostics);
    source_lines::count(piece, &voices, &mut diagnostics);
    bar_lines::compare(piece, &voices, bar, &mut diagnostics);

    let mut timed: Vec<TimedVoice> =
        voices.iter().map(|voice| timed_voice(piece, voice.place)).collect();
    let mut bars: Vec<Bar> = Vec::new();
    let mut start = Time::ZERO;
    let count = voices.iter().map(|voice| voice.sections.len()).max().unwrap_or(0);
    for number in 0..count {
        let last = number + 1 == count;
        let length = meet(piece, &voices, number, last, bar, &mut diagnostics);
        let repeat =
            voices.iter().any(|voice| voice.sections[number].close.is_some_and(|end| end.repeat));
        add_bars(&mut bars, start, length, bar, close(last, repeat));
        for (voice, timed) in voices.iter_mut().zip(&mut timed) {
            let section = std::mem::take(&mut voice.sections[number]);
            add_section(timed, section, start, length, bar);
        }
        start += length;
    }
    canon::follow(piece, &voices, &mut timed, start);
    let bars = around_passages(bars, &timed, bar);
    let (subjects, marks) = mark::of_head(&piece.head, &timed);
    let heading = heading(piece);
    let score = Score { heading, bar, bars, voices: timed, length: start, subjects, marks };
    Aligned { score, diagnostics }
}

fn heading(piece: &Piece) -> Heading {
    let text = |text: &Option<notation::Text>| text.as_ref().map(|text| text.text.clone());
    let head = &piece.head;
    Heading {
        example: text(&head.example),
        title: text(&head.title),
        source: text(&head.source),
        editor: text(&head.editor),
        notes: head.notes.iter().map(|note| note.text.clone()).collect(),
    }
}

fn timed_voice(piece: &Piece, place: usize) -> TimedVoice {
    let voice = &piece.voices[place];
    TimedVoice {
        place,
        name: voice.name.clone(),
        clef: voice.clef.unwrap_or(ASSUMED_CLEF),
        signature: voice.signature,
        sign: voice.sign,
        events: Vec::new(),
        changes: Vec::new(),
    }
}

fn close(last: bool, repeat: bool) -> Close {
    match (last, repeat) {
        (false, false) => Close::Section,
        (false, true) => Close::Repeat,
        (true, false) => Close::Final,
        (true, true) => Close::FinalRepeat,
    }
}

/// The bars of a section; the last of them may be short.
fn add_bars(bars: &mut Vec<Bar>, start: Time, length: Time, bar: Time, close: Close) {
    let end = start + length;
    let mut at = start;
    while at < end {
        let next = (at + bar).min(end);
        let close = if next == end { close } else { Close::Plain };
        bars.push(Bar { number: bars.len() as u32 + 1, start: at, end: next, close });
        at = next;
    }
}

/// The bars, beginning anew where all voices enter or leave a proportion together. The bar before
/// that may be short, as at the end of a section.
fn around_passages(bars: Vec<Bar>, voices: &[TimedVoice], bar: Time) -> Vec<Bar> {
    let passages = passages::find(voices, bar);
    if passages.is_empty() {
        return bars;
    }
    // Bars are as long as the passage wants in which they begin.
    let bar_at = |at: Time| {
        let after = passages.partition_point(|one| one.end <= at);
        let passage = passages.get(after).filter(|one| one.start <= at);
        passage.map_or(bar, |passage| passage.bar(bar))
    };
    let mut edges: Vec<Time> = passages.iter().flat_map(|one| [one.start, one.end]).collect();
    edges.dedup();
    let mut edges = edges.into_iter().peekable();
    let mut divided = Vec::with_capacity(bars.len() + 2 * passages.len());
    let mut start = Time::ZERO;
    for end in bars.iter().filter(|bar| bar.close != Close::Plain) {
        while let Some(edge) = edges.next_if(|edge| *edge < end.end) {
            add_bars(&mut divided, start, edge - start, bar_at(start), Close::Plain);
            start = edge;
        }
        add_bars(&mut divided, start, end.end - start, bar_at(start), end.close);
        start = end.end;
        while edges.next_if_eq(&start).is_some() {}
    }
    divided
}

/// Puts a section of a voice at its place, its last event held or trimmed to the section's end,
/// which is after the onset of every voice's last event.
fn add_section(timed: &mut TimedVoice, section: Section, start: Time, length: Time, bar: Time) {
    let end = start + length;
    let first = timed.events.len();
    timed.events.extend(section.events.into_iter().map(|event| {
        let onset = start + event.onset.passed();
        event.at(onset)
    }));
    let changes = section.changes.into_iter().map(|(before, change)| {
        let at = timed.events.get(first + before).map_or(end, |event| event.onset);
        (at, change)
    });
    timed.changes.extend(changes.collect::<Vec<(Time, Change)>>());
    // A voice that stops long before the others is silent at the end, rather than held.
    let written_end = start + section.end.passed();
    let held = timed.events.len() > first && written_end + bar >= end;
    match timed.events.last_mut() {
        Some(last) if held => {
            if last.length != end - last.onset {
                last.rule = Rule::Held;
            }
            last.length = end - last.onset;
        }
        last => {
            let silence = silence(last.as_deref(), written_end, end);
            timed.events.push(silence);
        }
    }
}

/// A rest that nobody printed.
fn silence(after: Option<&TimedEvent>, from: Time, to: Time) -> TimedEvent {
    TimedEvent {
        item: None,
        index: None,
        span: after.map_or_else(Default::default, |event| event.span),
        onset: from,
        length: to - from,
        value: Value::Minim,
        dotted: false,
        proportion: Proportion::EQUAL,
        rule: Rule::Silence,
        notes: Vec::new(),
        standing: Standing::Supplied,
        corona: false,
        signum: false,
        doubt: false,
        colored: false,
        ligature: None,
    }
}

/// The name of a counted voice.
fn name<'p>(piece: &'p Piece, voice: &ReckonedVoice) -> &'p str {
    &piece.voices[voice.place].name
}

/// `Cantus 12, Altus 12, Bassus 11 1/2`
fn sums<'n>(sums: impl Iterator<Item = (&'n str, InSection)>) -> String {
    let sums: Vec<String> =
        sums.map(|(name, sum)| format!("{name} {}", sum.passed().spoken())).collect();
    sums.join(", ")
}

#[cfg(test)]
mod tests;
