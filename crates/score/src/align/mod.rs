//! Where the voices meet, and the bars that follow from it.

mod bar_lines;
mod breaks;
mod broken_end;
mod canon;
mod finals;
mod measures;
mod meeting;
mod sections;
mod source_lines;

use notation::{Code, Diagnostic, NoteSigns, Piece, Standing};
use rudiments::{Mensuration, Proportion, Time, Value};

use crate::annotations::Annotations;
use crate::marked::{self, Marked};
use crate::passages;
use crate::reckon::{ASSUMED_CLEF, InSection, Reckoned, ReckonedVoice, Section};
use crate::rule::Rule;
use crate::timed::{Change, Close, Cut, Heading, Score, TimedEvent, TimedVoice};
use measures::{Layout, Measures};
use meeting::meet;

/// How long a bar is: as long as this value under the sign that most voices have.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum BarLength {
    /// The breve: four minims under a half circle, six under a circle.
    #[default]
    Breve,
    /// The semibreve: two minims, or three where there is a dot in the sign.
    Semibreve,
}

impl BarLength {
    /// A full bar under a mensuration, in minims.
    pub fn under(self, mensuration: Mensuration) -> Time {
        mensuration.full(match self {
            BarLength::Breve => Value::Breve,
            BarLength::Semibreve => Value::Semibreve,
        })
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
pub fn align(piece: &Piece, reckoned: Reckoned, bar_length: BarLength) -> Aligned {
    let Reckoned { mut voices, mut diagnostics } = reckoned;
    let bar = bar_length.under(Mensuration::IMPERFECT);
    sections::take_from_others(piece, &mut voices, bar_length, &mut diagnostics);
    source_lines::count(piece, &voices, &mut diagnostics);
    bar_lines::compare(piece, &voices, bar_length, &mut diagnostics);

    let mut timed: Vec<TimedVoice> =
        voices.iter().map(|voice| timed_voice(piece, voice.place)).collect();
    let mut layout = Layout::default();
    let mut told_of_bars = false;
    let mut start = Time::ZERO;
    let count = voices.iter().map(|voice| voice.sections.len()).max().unwrap_or(0);
    for number in 0..count {
        let last = number + 1 == count;
        let measures = Measures::of_section(voices.iter(), number, bar_length);
        let longest = measures.longest();
        if !told_of_bars && !measures.others.is_empty() {
            diagnostics.push(bars_of_others(piece, &measures));
            told_of_bars = true;
        }
        let length = meet(piece, &voices, number, last, &measures, &mut diagnostics);
        let repeat =
            voices.iter().any(|voice| voice.sections[number].close.is_some_and(|end| end.repeat));
        layout.section(measures, start, start + length, close(last, repeat));
        for (voice, timed) in voices.iter_mut().zip(&mut timed) {
            let section = std::mem::take(&mut voice.sections[number]);
            add_section(timed, section, start, length, longest);
        }
        start += length;
    }
    canon::follow(piece, &voices, &mut timed, start, &mut diagnostics);
    let bars = layout.bars(&passages::find(&timed, bar), bar);
    let Marked { subjects, marks, hands } = marked::of_head(&piece.head, &timed);
    let heading = Heading::of(piece);
    let breaks = breaks::of_head(&piece.head, bars.len(), &mut diagnostics);
    let (voices, length, annotations) = (timed, start, Annotations::default());
    let score = Score {
        heading,
        bar,
        bars,
        voices,
        length,
        begins: Time::ZERO,
        subjects,
        marks,
        hands,
        breaks,
        annotations,
    };
    Aligned { score, diagnostics }
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
        cut: Cut::default(),
        blank: Vec::new(),
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
        mensuration: Mensuration::IMPERFECT,
        proportion: Proportion::EQUAL,
        rule: Rule::Silence,
        notes: Vec::new(),
        standing: Standing::Supplied,
        signs: NoteSigns::default(),
        colored: false,
        ligature: None,
    }
}

/// That some voices stand under a sign whose bars are not drawn.
fn bars_of_others(piece: &Piece, measures: &Measures) -> Diagnostic {
    let (first, wanted) = measures.others[0];
    let voice = |place: usize| &piece.voices[place];
    let names: Vec<&str> =
        measures.others.iter().map(|(place, _)| voice(*place).name.as_str()).collect();
    let names = names.join(", ");
    let message = format!("bars are drawn by the sign of the other voices, not by that of {names}");
    Diagnostic::new(Code::BarsOfOthers, voice(first).span, message).help(format!(
        "by that of {names} a bar would have {} minims; if that is not meant, look at the signs",
        wanted.spoken()
    ))
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
