//! `catalogue`: what every example of a collection does, as a table.

use std::path::Path;

use catalogue::{Cell, Place, Row, Table, Topic};
use rayon::prelude::*;
use serde::ser::{Serialize, SerializeMap as _, Serializer};

use crate::Outcome;
use crate::arguments::{Catalogue, Rows, TableFormat};
use crate::collection::{Collected, Studied, collect};
use crate::columns;
use crate::files::{self, Failure, Inputs, is_standard_output, shown};
use crate::printed::Printed;
use crate::report::json;
use crate::streams::{self, Stream, say};

pub(crate) fn run(options: &Catalogue) -> Result<Outcome, Failure> {
    let outputs: Vec<(&Path, TableFormat)> = options
        .output
        .iter()
        .map(|path| Ok((path.as_path(), format_of(path)?)))
        .collect::<Result<_, Failure>>()?;
    files::check_distinct(&options.output)?;
    let table = Table(match options.rows {
        Rows::Examples => Topic::Examples,
        Rows::Entries => Topic::Entries,
        Rows::Cadences => Topic::Cadences,
    });
    let collected = collect(&options.collection)?;
    for (path, format) in &outputs {
        let written = written(table, &collected, *format)?;
        files::write(path, written.as_bytes(), &Inputs::default())?;
    }
    if outputs.is_empty() {
        streams::answer(Stream::Output, &written(table, &collected, options.format)?)?;
    }
    let outcome = tell_of_errors(&faulty(&collected));
    collected.whole()?;
    Ok(outcome)
}

/// Which table a file is to have.
fn format_of(path: &Path) -> Result<TableFormat, Failure> {
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_ascii_lowercase());
    match ending.as_deref() {
        Some("csv") => Ok(TableFormat::Csv),
        Some("jsonl") => Ok(TableFormat::Json),
        _ if is_standard_output(path) => Ok(TableFormat::Csv),
        _ => Err(Failure::Said(format!(
            "{} is neither a .csv nor a .jsonl: name one of these",
            shown(path)
        ))),
    }
}

/// The names of the examples that have errors.
fn faulty(collected: &Collected) -> Vec<String> {
    let of_file = |file: &Studied| {
        let rows = file.rows().into_iter().filter(|row| row.errors > 0);
        rows.map(|row| label(&file.name, &row)).collect::<Vec<_>>()
    };
    collected.files.par_iter().flat_map_iter(of_file).collect()
}

/// Says which examples have errors.
pub(crate) fn tell_of_errors(faulty: &[String]) -> Outcome {
    for name in faulty {
        say(&Printed::plain(format!(
            "{name} has errors, and may be misread: `cartella check {name}` tells of them\n"
        )));
    }
    if faulty.is_empty() { Outcome::Done } else { Outcome::Findings }
}

/// The name of an example: `F.parts#NAME`.
pub(crate) fn label(file: &str, row: &Row) -> String {
    match &row.example {
        Some(example) => format!("{file}#{example}"),
        None => file.to_owned(),
    }
}

/// A row as a JSON object, in the order of its columns.
struct Object<'o> {
    columns: &'o [&'static str],
    cells: &'o [Cell],
}

impl Serialize for Object<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut object = serializer.serialize_map(Some(self.columns.len() + 1))?;
        object.serialize_entry("version", &1)?;
        for (column, cell) in self.columns.iter().zip(self.cells) {
            object.serialize_entry(column, cell)?;
        }
        object.end()
    }
}

/// The table of a collection.
fn written(table: Table, collected: &Collected, format: TableFormat) -> Result<Printed, Failure> {
    let columns: Vec<&'static str> = table.columns().collect();
    let failed = |error: csv::Error| Failure::Said(error.to_string());
    let mut csv = csv::Writer::from_writer(Vec::new());
    let mut out = Printed::default();
    let mut lines: Vec<Vec<String>> = Vec::new();
    let shown = shown_columns(table.0);
    match format {
        TableFormat::Csv => csv.write_record(&columns).map_err(failed)?,
        TableFormat::Json => {}
        TableFormat::Text => {
            lines.push(shown.iter().map(|(_, heading)| (*heading).to_owned()).collect());
        }
    }
    for file in &collected.files {
        for row in file.rows() {
            for cells in table.rows(Place { file: &file.name }, &row) {
                match format {
                    TableFormat::Csv => {
                        csv.write_record(cells.iter().map(Cell::text)).map_err(failed)?;
                    }
                    TableFormat::Json => {
                        out += json(&Object { columns: &columns, cells: &cells });
                    }
                    TableFormat::Text => {
                        let cell = |name: &str| {
                            let place = columns.iter().position(|column| *column == name);
                            place.map_or_else(String::new, |place| cells[place].text())
                        };
                        let line = shown.iter().map(|(name, _)| match *name {
                            "file" => label(&file.name, &row),
                            name => cell(name),
                        });
                        lines.push(line.collect());
                    }
                }
            }
        }
    }
    Ok(match format {
        TableFormat::Csv => {
            let bytes = csv.into_inner().map_err(|error| Failure::Said(error.to_string()))?;
            Printed::as_it_is(String::from_utf8_lossy(&bytes))
        }
        TableFormat::Json => out,
        TableFormat::Text => Printed::plain(columns::set(&lines)),
    })
}

/// What people are shown of a table, and what stands over it.
fn shown_columns(topic: Topic) -> &'static [(&'static str, &'static str)] {
    match topic {
        Topic::Examples => &[
            ("file", "example"),
            ("voices", "voices"),
            ("bars", "bars"),
            ("final", "final"),
            ("subject", "subject"),
            ("imitations", "imitations"),
            ("cadences", "cadences"),
            ("faults", "faults"),
        ],
        Topic::Entries => &[
            ("file", "example"),
            ("subject", "subject"),
            ("voice", "voice"),
            ("bar", "bar"),
            ("interval", "interval"),
            ("delay", "after"),
            ("form", "form"),
            ("upon", "upon"),
        ],
        Topic::Cadences => &[
            ("file", "example"),
            ("bar", "bar"),
            ("goal", "goal"),
            ("kind", "kind"),
            ("name", "name"),
            ("enters", "enters"),
            ("after_semibreve", "after its semibreve begins"),
        ],
    }
}
