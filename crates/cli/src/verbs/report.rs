//! `report`: the critical report, as text, as a table or as JSON.

use std::borrow::Cow;

use cartella::{Entry, Numbers, Report};
use serde::Serialize;

use crate::Outcome;
use crate::arguments::{Report as Options, ReportFormat};
use crate::files::Failure;
use crate::many::{Answer, Frame, each};
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::report::{Head, Source, json};
use crate::streams::Stream;

/// The columns of the table.
const COLUMNS: [&str; 12] = [
    "bar",
    "voice",
    "place",
    "line",
    "first",
    "last",
    "before",
    "kind",
    "printed",
    "read",
    "authority",
    "remark",
];

pub(crate) fn run(options: &Options, colors: bool) -> Result<Outcome, Failure> {
    let several = options.files.len() > 1;
    let mut frame = Frame::none(Stream::Output);
    match options.format {
        ReportFormat::Text => frame = Frame::apart(Stream::Output),
        ReportFormat::Csv if several => {
            let names = ["file", "example"].into_iter().chain(COLUMNS);
            frame.opening = record(names.map(str::to_owned)).into();
        }
        ReportFormat::Csv | ReportFormat::Json => {}
    }
    each(&options.files, options.many.jobs, &frame, |path| {
        let loaded = Loaded::read(path)?;
        let (mut out, mut err, mut outcome) =
            (Printed::default(), Printed::default(), Outcome::Done);
        let file = several.then(|| loaded.file());
        if several && options.format == ReportFormat::Text {
            out += loaded.heading();
        }
        for (place, example) in loaded.examples().enumerate() {
            let aligned = example.score(options.bars.bar.into());
            let (report, name) = (aligned.report(), loaded.label(example));
            let source = loaded.source(&name);
            out += match options.format {
                ReportFormat::Text if place > 0 => Printed::plain(format!("\n{}", report.text())),
                ReportFormat::Text => Printed::plain(report.text()),
                ReportFormat::Csv => Printed::as_it_is(table(&report, file.as_deref(), place == 0)),
                ReportFormat::Json => as_json(&report, file.clone(), &source),
            };
            let errors = loaded.errors(example, &aligned.diagnostics);
            err += source.render(&errors, colors);
            outcome = outcome.max(Outcome::of(&errors));
        }
        Ok(Answer { out, err, outcome })
    })
}

/// The first and last number of the source, and the one before which something is added.
fn numbers(entry: &Entry) -> [Option<u32>; 3] {
    match entry.numbers {
        Numbers::Printed(first, last) => [Some(first), Some(last), None],
        Numbers::Before(next) => [None, None, Some(next)],
        Numbers::End => [None; 3],
    }
}

/// Comma-separated values as RFC 4180 has them: a line of names, lines ended by CR LF, quotes where
/// they are needed. In a file of several examples, each record begins with the name of its own; where
/// several files are answered, with that of the file and the example, and the names of the columns
/// stand above all.
fn table(report: &Report, file: Option<&str>, first: bool) -> String {
    let example = report.heading.example.as_deref();
    let named: Vec<(&str, &str)> = match (file, example) {
        (Some(file), example) => vec![("file", file), ("example", example.unwrap_or_default())],
        (None, Some(example)) => vec![("example", example)],
        (None, None) => Vec::new(),
    };
    let mut table = String::new();
    if first && file.is_none() {
        let names = named.iter().map(|(name, _)| *name).chain(COLUMNS);
        table.push_str(&record(names.map(str::to_owned)));
    }
    for entry in &report.entries {
        let number = |number: Option<u32>| number.map_or(String::new(), |n| n.to_string());
        let [first, last, before] = numbers(entry).map(number);
        let place = entry.place.as_ref();
        let fields = [
            number(place.map(|place| place.bar)),
            entry.voice.clone(),
            place.map_or(String::new(), |place| place.words.clone()),
            number(entry.line),
            first,
            last,
            before,
            entry.kind.name().to_owned(),
            entry.printed.clone(),
            entry.read.clone(),
            entry.authority.clone().unwrap_or_default(),
            entry.remark.clone(),
        ];
        let named = named.iter().map(|(_, said)| (*said).to_owned());
        table.push_str(&record(named.chain(fields)));
    }
    table
}

fn record(fields: impl IntoIterator<Item = String>) -> String {
    let quoted = fields.into_iter().map(|field| {
        if field.contains([',', '"', '\r', '\n']) {
            format!("\"{}\"", field.replace('"', "\"\""))
        } else {
            field
        }
    });
    let mut line = quoted.collect::<Vec<String>>().join(",");
    line.push_str("\r\n");
    line
}

#[derive(Serialize)]
struct Reported<'r> {
    #[serde(flatten)]
    head: Head<'r>,
    title: Option<&'r str>,
    source: Option<&'r str>,
    entries: Vec<Listed<'r>>,
}

#[derive(Serialize)]
struct Listed<'r> {
    kind: &'static str,
    voice: &'r str,
    bar: Option<u32>,
    at: Option<String>,
    place: Option<&'r str>,
    source_line: Option<u32>,
    first: Option<u32>,
    last: Option<u32>,
    before: Option<u32>,
    printed: &'r str,
    read: &'r str,
    authority: Option<&'r str>,
    text: String,
    line: u32,
    column: u32,
}

fn as_json(report: &Report, file: Option<Cow<'_, str>>, source: &Source<'_>) -> Printed {
    let entries = report.entries.iter().map(|entry| {
        let (line, column) = source.place(entry.span);
        let [first, last, before] = numbers(entry);
        let place = entry.place.as_ref();
        Listed {
            kind: entry.kind.name(),
            voice: &entry.voice,
            bar: place.map(|place| place.bar),
            at: place.map(|place| place.at.to_string()),
            place: place.map(|place| place.words.as_str()),
            source_line: entry.line,
            first,
            last,
            before,
            printed: &entry.printed,
            read: &entry.read,
            authority: entry.authority.as_deref(),
            text: entry.text(),
            line,
            column,
        }
    });
    json(&Reported {
        head: Head::new(file, report.heading.example.as_deref()),
        title: report.heading.title.as_deref(),
        source: report.heading.source.as_deref(),
        entries: entries.collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4180, section 2, rules 5 to 7.
    #[test]
    fn a_record_is_quoted_where_it_must_be() {
        let fields = ["plain", "a, b", "say \"so\"", "", "two\nlines"].map(str::to_owned);
        assert_eq!(record(fields), "plain,\"a, b\",\"say \"\"so\"\"\",,\"two\nlines\"\r\n");
    }
}
