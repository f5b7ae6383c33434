//! `report`: the critical report, as text, as a table or as JSON.

use cartella::{Entry, Numbers, Report};
use serde::Serialize;

use crate::Outcome;
use crate::arguments::{Report as Options, ReportFormat};
use crate::files::Failure;
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::report::{Source, errors, json};
use crate::streams::{self, Stream, say};

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
    let loaded = Loaded::read(&options.file)?;
    let aligned = loaded.score(options.bars.bar);
    let source = loaded.source();
    let errors = errors(&aligned.diagnostics);
    let report = aligned.report();
    let answer = match options.format {
        ReportFormat::Text => Printed::plain(report.text()),
        ReportFormat::Csv => Printed::as_it_is(table(&report)),
        ReportFormat::Json => as_json(&report, &source),
    };
    say(&source.render(&errors, colors));
    streams::answer(Stream::Output, &answer)?;
    Ok(if errors.is_empty() { Outcome::Done } else { Outcome::Findings })
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
/// they are needed.
fn table(report: &Report) -> String {
    let mut table = record(&COLUMNS.map(str::to_owned));
    for entry in &report.entries {
        let number = |number: Option<u32>| number.map_or(String::new(), |n| n.to_string());
        let [first, last, before] = numbers(entry).map(number);
        let place = entry.place.as_ref();
        table.push_str(&record(&[
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
        ]));
    }
    table
}

fn record(fields: &[String]) -> String {
    let quoted = fields.iter().map(|field| {
        if field.contains([',', '"', '\r', '\n']) {
            format!("\"{}\"", field.replace('"', "\"\""))
        } else {
            field.clone()
        }
    });
    let mut line = quoted.collect::<Vec<String>>().join(",");
    line.push_str("\r\n");
    line
}

#[derive(Serialize)]
struct Answer<'r> {
    version: u32,
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

fn as_json(report: &Report, source: &Source<'_>) -> Printed {
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
    json(&Answer {
        version: 1,
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
        assert_eq!(record(&fields), "plain,\"a, b\",\"say \"\"so\"\"\",,\"two\nlines\"\r\n");
    }
}
