//! `grid`: the voices side by side on the minim grid.

use std::borrow::Cow;
use std::fmt::Write as _;

use cartella::{Bar, Close, Example, Score, Sounded, Time, TimedEvent, TimedVoice, Tone};
use serde::Serialize;
use unicode_width::UnicodeWidthStr as _;

use crate::Outcome;
use crate::arguments::{Format, Grid};
use crate::files::Failure;
use crate::many::{Answer, Frame, each};
use crate::piece::Loaded;
use crate::printed::{Printed, in_line};
use crate::report::{Head, Source};
use crate::streams::Stream;

/// Columns of a table that goes to no terminal.
const WIDTH: usize = 100;

/// A note that is held, a rest that begins, and a rest that goes on.
const HELD: &str = "-";
const REST: &str = "_";
const SILENT: &str = ".";

pub(crate) fn run(options: &Grid, colors: bool) -> Result<Outcome, Failure> {
    let terminal = terminal_size::terminal_size().map(|(width, _)| width.0);
    let width = options.width.or(terminal).map_or(WIDTH, usize::from);
    let several = options.files.len() > 1;
    let frame = match options.format {
        Format::Text => Frame::apart(Stream::Output),
        Format::Json => Frame::none(Stream::Output),
    };
    each(&options.files, options.many.jobs, &frame, |path| {
        let loaded = Loaded::read(path)?;
        let (mut out, mut err, mut outcome) =
            (Printed::default(), Printed::default(), Outcome::Done);
        if several && options.format == Format::Text {
            out += loaded.heading();
        }
        for (place, example) in loaded.examples().enumerate() {
            let mut aligned = example.score(options.bars.bar.into());
            let name = loaded.label(example);
            let cut = options.passage.cut(&mut aligned, &[]);
            cut.map_err(|said| Failure::Said(format!("{name}: {said}")))?;
            let score = &aligned.score;
            let source = loaded.source(&name);
            out += match options.format {
                Format::Json => json(score, several.then(|| loaded.file()), &source),
                Format::Text => {
                    Printed::plain(format!("{}{}", over(example, place), table(score, width)))
                }
            };
            let errors = loaded.errors(example, &aligned.diagnostics);
            err += source.render(&errors, colors);
            outcome = outcome.max(Outcome::of(&errors));
        }
        Ok(Answer { out, err, outcome })
    })
}

/// What stands over the answer about an example, by its place among those that are answered.
pub(crate) fn over(example: Example<'_>, place: usize) -> String {
    let blank = if place > 0 { "\n" } else { "" };
    example.name().map_or(String::new(), |name| format!("{blank}example {name}\n"))
}

/// The table: a row a voice, a column wherever some voice begins something and at every minim.
fn table(score: &Score, width: usize) -> String {
    let names = Names::of(score);
    let mut table = String::new();
    let mut cursors = vec![0; score.voices.len()];
    let mut line: Vec<BarCells> = Vec::new();
    let mut filled = names.width + 3;
    for bar in &score.bars {
        let cells = BarCells::new(score, *bar, &mut cursors);
        let bar_width = cells.width() + cells.close().len();
        if !line.is_empty() && filled + bar_width > width {
            write_line(&mut table, &line, &names);
            line.clear();
            filled = names.width + 3;
        }
        filled += bar_width;
        line.push(cells);
    }
    write_line(&mut table, &line, &names);
    table
}

/// The names of the voices as they are shown, and how wide the widest is.
struct Names<'s> {
    names: Vec<Cow<'s, str>>,
    width: usize,
}

impl Names<'_> {
    fn of(score: &Score) -> Names<'_> {
        let names: Vec<_> = score.voices.iter().map(|voice| in_line(&voice.name)).collect();
        let width = names.iter().map(|name| name.width()).max().unwrap_or(0);
        Names { names, width }
    }
}

/// The cells of a bar.
struct BarCells {
    bar: Bar,
    columns: Vec<Column>,
}

/// What stands at a moment, in each voice.
struct Column {
    /// The number of the minim in its bar, where the column begins one.
    minim: Option<i64>,
    cells: Vec<String>,
    width: usize,
}

impl BarCells {
    /// The cells of a bar; `cursors` are the places, in each voice, of the event that sounds at
    /// its beginning, and are moved to those of its end.
    fn new(score: &Score, bar: Bar, cursors: &mut [usize]) -> BarCells {
        let mut moments: Vec<Time> = Vec::new();
        let mut minim = bar.start;
        while minim < bar.end {
            moments.push(minim);
            minim += Time::minims(1);
        }
        for (voice, cursor) in score.voices.iter().zip(cursors.iter()) {
            let events = voice.events[*cursor..].iter().map(|event| event.onset);
            moments.extend(events.take_while(|at| *at < bar.end).filter(|at| *at > bar.start));
        }
        moments.sort_unstable();
        moments.dedup();
        let columns = moments
            .into_iter()
            .map(|at| {
                let voices = score.voices.iter().zip(cursors.iter_mut());
                let cells: Vec<String> =
                    voices.map(|(voice, cursor)| cell(voice, cursor, at)).collect();
                let since = at - bar.start;
                let minim = (since.denominator() == 1).then(|| since.numerator() + 1);
                let width = cells.iter().map(String::len).max().unwrap_or(1);
                Column { minim, cells, width }
            })
            .collect();
        BarCells { bar, columns }
    }

    fn width(&self) -> usize {
        self.columns.iter().map(|column| column.width + 1).sum()
    }

    /// What stands between it and the next bar.
    fn close(&self) -> &'static str {
        match self.bar.close {
            Close::Plain => "| ",
            Close::Repeat | Close::FinalRepeat => ":|| ",
            Close::Section | Close::Final => "|| ",
        }
    }
}

/// What a voice does at a moment; the cursor is moved to the event that sounds then.
fn cell(voice: &TimedVoice, cursor: &mut usize, at: Time) -> String {
    while voice.events.get(*cursor).is_some_and(|event| event.end() <= at) {
        *cursor += 1;
    }
    match voice.events.get(*cursor) {
        Some(event) if event.onset == at => beginning(event),
        Some(event) if event.is_rest() => SILENT.to_owned(),
        Some(_) => HELD.to_owned(),
        None => String::new(),
    }
}

fn beginning(event: &TimedEvent) -> String {
    if event.is_rest() { REST.to_owned() } else { joined(event, name) }
}

/// What sounds, with the editor's sign in brackets where it is the editor's.
fn name(note: Sounded) -> String {
    match note.editorial {
        Some(sign) => {
            let Tone { step, octave } = note.pitch.tone;
            format!("{step}[{}]{octave}", sign.letter())
        }
        None => note.pitch.to_string(),
    }
}

/// The notes of an event, each by its name.
fn joined(event: &TimedEvent, name: impl Fn(Sounded) -> String) -> String {
    event.notes.iter().copied().map(name).collect::<Vec<_>>().join("+")
}

fn write_line(table: &mut String, bars: &[BarCells], names: &Names<'_>) {
    if bars.is_empty() {
        return;
    }
    if !table.is_empty() {
        table.push('\n');
    }
    let mut row = format!("{:1$}   ", "", names.width);
    for bar in bars {
        let width = bar.width() + bar.close().len();
        let _ = write!(row, "{:<width$}", bar.bar.number);
    }
    push_row(table, &row);
    row = format!("{:1$}   ", "", names.width);
    for bar in bars {
        for column in &bar.columns {
            let minim = column.minim.map_or(String::new(), |minim| minim.to_string());
            let _ = write!(row, "{minim:<width$} ", width = column.width);
        }
        row.extend(std::iter::repeat_n(' ', bar.close().len()));
    }
    push_row(table, &row);
    for (place, name) in names.names.iter().enumerate() {
        name.as_ref().clone_into(&mut row);
        row.extend(std::iter::repeat_n(' ', names.width - name.width()));
        row.push_str(" | ");
        for bar in bars {
            for column in &bar.columns {
                let _ = write!(row, "{:<width$} ", column.cells[place], width = column.width);
            }
            row.push_str(bar.close());
        }
        push_row(table, &row);
    }
}

fn push_row(table: &mut String, row: &str) {
    table.push_str(row.trim_end());
    table.push('\n');
}

#[derive(Serialize)]
struct Listing<'s> {
    #[serde(flatten)]
    head: Head<'s>,
    title: Option<&'s str>,
    length: String,
    bars: Vec<ListedBar>,
    voices: Vec<ListedVoice<'s>>,
}

#[derive(Serialize)]
struct ListedBar {
    number: u32,
    at: String,
    #[serde(rename = "for")]
    length: String,
}

#[derive(Serialize)]
struct ListedVoice<'s> {
    name: &'s str,
    events: Vec<ListedEvent>,
}

#[derive(Serialize)]
struct ListedEvent {
    index: Option<u32>,
    kind: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pitch: Option<String>,
    at: String,
    #[serde(rename = "for")]
    length: String,
    line: u32,
    column: u32,
}

fn json(score: &Score, file: Option<Cow<'_, str>>, source: &Source<'_>) -> Printed {
    let event = |event: &TimedEvent| {
        let (line, column) = source.place(event.span);
        let kind = if event.is_rest() { "rest" } else { "note" };
        ListedEvent {
            index: event.index,
            kind,
            pitch: (!event.is_rest()).then(|| joined(event, |note| note.pitch.to_string())),
            at: (score.begins + event.onset).to_string(),
            length: event.length.to_string(),
            line,
            column,
        }
    };
    let listing = Listing {
        head: Head::new(file, score.heading.example.as_deref()),
        title: score.heading.title.as_deref(),
        length: score.length.to_string(),
        bars: score
            .bars
            .iter()
            .map(|bar| ListedBar {
                number: bar.number,
                at: (score.begins + bar.start).to_string(),
                length: (bar.end - bar.start).to_string(),
            })
            .collect(),
        voices: score
            .voices
            .iter()
            .map(|voice| ListedVoice {
                name: &voice.name,
                events: voice.events.iter().map(event).collect(),
            })
            .collect(),
    };
    crate::report::json(&listing)
}

#[cfg(test)]
mod tests {
    use cartella::{BarLength, Document};

    use super::*;

    fn of(text: &str, width: usize) -> String {
        table(&Document::parse(text).score(BarLength::Breve).score, width)
    }

    const DUO: &str = "signature Bb\nvoice Cantus clef C1\n  mn _ G4 A. .G F# lg G\n\
                       voice Tenor clef C4\n  br G3 || sb D mn E F lg G\n";

    #[test]
    fn names_begin_and_marks_hold() {
        insta::assert_snapshot!(of(DUO, 80));
    }

    #[test]
    fn the_editors_signs_stand_in_brackets() {
        let table = of("signature Bb\nvoice Cantus clef C1\n  mn F[#] G F#+A Bb4 B[n] A\n", 80);
        assert!(table.contains("| F[#]4 G4 F#4+A4 Bb4 | B[n]4 A4"), "{table}");
    }

    #[test]
    fn bars_are_wrapped() {
        insta::assert_snapshot!(of(DUO, 30));
    }
}
