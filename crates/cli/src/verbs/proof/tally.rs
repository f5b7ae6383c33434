//! `proof --tally`: what each line of the source has, in numbers.

use std::borrow::Cow;

use cartella::{Copied, Note, SourceLine};
use serde::Serialize;
use unicode_width::UnicodeWidthStr as _;

use crate::Outcome;
use crate::arguments::{Format, Proof};
use crate::files::Failure;
use crate::many::{Answer, Frame, each};
use crate::piece::Loaded;
use crate::printed::{Printed, in_line};
use crate::report::{Head, Source, json};
use crate::streams::Stream;
use crate::verbs::grid::over;

pub(super) fn run(options: &Proof, colors: bool) -> Result<Outcome, Failure> {
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
            let copied = example.copied();
            let name = loaded.label(example);
            let source = loaded.source(&name);
            out += match options.format {
                Format::Json => as_json(&copied, several.then(|| loaded.file()), &source),
                Format::Text => Printed::plain(over(example, place) + &table(&copied)),
            };
            let errors = loaded.errors(example, &copied.diagnostics);
            err += source.render(&errors, colors);
            outcome = outcome.max(Outcome::of(&errors));
        }
        Ok(Answer { out, err, outcome })
    })
}

const COLUMNS: [&str; 8] = ["voice", "line", "notes", "rests", "minims", "total", "direct", "next"];

/// A row a line, the numbers at the right of their columns.
fn table(copied: &Copied<'_>) -> String {
    let voices = &copied.example().piece().voices;
    let row = |line: &SourceLine| {
        [
            in_line(&voices[line.voice].name).into_owned(),
            line.number.to_string(),
            line.notes.to_string(),
            line.rests.to_string(),
            line.minims.spoken().to_string(),
            line.total.spoken().to_string(),
            line.direct.map_or("-".to_owned(), |direct| direct.to_string()),
            announced(line),
        ]
    };
    let mut rows = vec![COLUMNS.map(str::to_owned)];
    rows.extend(copied.lines.iter().map(row));
    let width = |column: usize| rows.iter().map(|row| row[column].width()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..COLUMNS.len()).map(width).collect();
    let mut table = String::new();
    for row in &rows {
        let mut line = String::new();
        for (column, (cell, width)) in row.iter().zip(&widths).enumerate() {
            let blanks = " ".repeat(width - cell.width());
            let gap = if column > 0 { "  " } else { "" };
            // Words stand at the left, numbers at the right.
            let (before, after) =
                if (1..6).contains(&column) { (&*blanks, "") } else { ("", &*blanks) };
            line.push_str(&format!("{gap}{before}{cell}{after}"));
        }
        table.push_str(line.trim_end());
        table.push('\n');
    }
    table
}

/// The note that a direct announces; with an exclamation mark if it is another.
fn announced(line: &SourceLine) -> String {
    match (line.next, line.direct) {
        (None, _) => "-".to_owned(),
        (Some(note), Some(direct)) if note.tone != direct => format!("{} !", note.tone),
        (Some(note), _) => note.tone.to_string(),
    }
}

#[derive(Serialize)]
struct Tally<'c> {
    #[serde(flatten)]
    head: Head<'c>,
    title: Option<&'c str>,
    lines: Vec<Listed<'c>>,
}

#[derive(Serialize)]
struct Listed<'c> {
    voice: &'c str,
    source_line: u32,
    notes: u32,
    rests: u32,
    minims: String,
    total: String,
    direct: Option<String>,
    next: Option<String>,
    announced: Option<bool>,
    ends_page: bool,
    line: Option<u32>,
    column: Option<u32>,
}

fn as_json(copied: &Copied<'_>, file: Option<Cow<'_, str>>, source: &Source<'_>) -> Printed {
    let voices = &copied.example().piece().voices;
    let listed = |line: &SourceLine| {
        let voice = &voices[line.voice];
        let first = voice.items[line.items.clone()].first();
        let (at, column) = first.map(|item| source.place(item.span)).unzip();
        let next = line.next.map(|note: Note| note.tone);
        Listed {
            voice: &voice.name,
            source_line: line.number,
            notes: line.notes,
            rests: line.rests,
            minims: line.minims.to_string(),
            total: line.total.to_string(),
            direct: line.direct.map(|direct| direct.to_string()),
            next: next.map(|next| next.to_string()),
            announced: line.direct.zip(next).map(|(direct, next)| direct == next),
            ends_page: line.ends_page,
            line: at,
            column,
        }
    };
    json(&Tally {
        head: Head::new(file, copied.heading.example.as_deref()),
        title: copied.heading.title.as_deref(),
        lines: copied.lines.iter().map(listed).collect(),
    })
}
