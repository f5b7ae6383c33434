//! `proof --strips`: what staves are found in pictures; with a parts file, of which lines they are.

use std::path::Path;

use cartella::Facsimile;
use cartella::facsimile::{Area, Strip};
use serde::Serialize;
use unicode_width::UnicodeWidthStr as _;

use super::sources::{Matched, Placed, matched};
use crate::Outcome;
use crate::arguments::{Format, Proof};
use crate::files::{self, Failure, is_stream, shown};
use crate::piece::Loaded;
use crate::printed::{Printed, in_line};
use crate::report::json;
use crate::streams::{self, Stream, say};
use crate::verbs::scans::{Found, boxed, found, from_folder, hundredth, tenth};

/// Lists what is found, and writes it into the head if that is asked for.
pub(in super::super) fn run(options: &Proof, colors: bool) -> Result<Outcome, Failure> {
    if options.facsimile.is_empty() {
        let found = found(&options.files)?;
        let listed: Vec<Listed<'_>> = found.iter().map(Listed::alone).collect();
        answer(&listed, options.format)?;
        return Ok(Outcome::Done);
    }
    let [file] = options.files.as_slice() else {
        return Err(Failure::Said("--facsimile shows one piece: name one parts file".to_owned()));
    };
    let loaded = Loaded::read(file)?;
    let example = loaded.one()?;
    let copied = example.copied();
    let name = loaded.label(example);
    let errors = loaded.errors(example, &copied.diagnostics);
    say(&loaded.source(&name).render(&errors, colors));
    let Matched { placed, said } = matched(&copied, &options.facsimile)?;
    let voice = |placed: &Placed| example.piece().voices[placed.voice].name.as_str();
    let listed: Vec<Listed<'_>> =
        placed.iter().map(|placed| Listed::placed(placed, voice(placed))).collect();
    if !listed.is_empty() || options.format == Format::Json {
        answer(&listed, options.format)?;
    }
    for said in &said {
        say(&Printed::plain(format!("{name}: {said}\n")));
    }
    if options.write && !placed.is_empty() {
        write(&loaded, &placed)?;
    }
    Ok(if said.is_empty() { Outcome::of(&errors) } else { Outcome::Findings })
}

/// Writes boxes into the head of the file.
fn write(loaded: &Loaded, placed: &[Placed]) -> Result<(), Failure> {
    if is_stream(&loaded.path) {
        let said = "--write changes the parts file: standard input cannot be changed";
        return Err(Failure::Said(said.to_owned()));
    }
    let boxes: Result<Vec<Facsimile>, Failure> =
        placed.iter().map(|placed| in_head(placed, &loaded.path)).collect();
    let boxes = boxes?;
    let document = &loaded.document;
    let Some(edits) = loaded.one()?.facsimiles(&boxes) else {
        return Err(Failure::Said(format!(
            "{}: these boxes cannot be typed into its head, so it is left as it is; has the name of a picture \
             a quotation mark in it?",
            loaded.name
        )));
    };
    let text = document.with(&edits);
    if text != document.text() {
        files::replace(&loaded.path, document.text().as_bytes(), text.as_bytes())?;
    }
    let count = boxes.len();
    let lines = if count == 1 { "line" } else { "lines" };
    say(&Printed::plain(format!("{}: its head says where {count} {lines} stand\n", loaded.name)));
    Ok(())
}

fn in_head(placed: &Placed, parts: &Path) -> Result<Facsimile, Failure> {
    let Placed { voice, line, found } = placed;
    let file = from_folder(&found.file, parts)?;
    Ok(boxed(*voice, *line, (file, found.page), &found.strip))
}

#[derive(Serialize)]
struct Answer<'s> {
    version: u32,
    strips: &'s [Listed<'s>],
}

#[derive(Serialize)]
struct Listed<'s> {
    #[serde(skip_serializing_if = "Option::is_none")]
    voice: Option<&'s str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    source_line: Option<u32>,
    file: String,
    in_file: u32,
    page: u32,
    line: u32,
    x: f64,
    y: f64,
    width: f64,
    height: f64,
    angle: f64,
    empty: bool,
    words: Vec<Words>,
}

#[derive(Serialize)]
struct Words {
    x: f64,
    y: f64,
    width: f64,
    height: f64,
}

impl<'s> Listed<'s> {
    fn alone(found: &Found) -> Listed<'s> {
        let Strip { x, y, width, height, angle, empty, .. } = found.strip;
        let words = found.words.iter().map(|&Area { x, y, width, height }| {
            let [x, y, width, height] = [x, y, width, height].map(tenth);
            Words { x, y, width, height }
        });
        Listed {
            voice: None,
            source_line: None,
            file: found.file.to_string_lossy().into_owned(),
            in_file: found.page,
            page: found.of_all,
            line: found.line,
            x: tenth(x),
            y: tenth(y),
            width: tenth(width),
            height: tenth(height),
            angle: hundredth(angle),
            empty,
            words: words.collect(),
        }
    }

    fn placed(placed: &Placed, voice: &'s str) -> Listed<'s> {
        let source_line = Some(placed.line);
        Listed { voice: Some(voice), source_line, ..Listed::alone(&placed.found) }
    }

    fn cells(&self) -> Vec<String> {
        let number = |number: f64| number.to_string();
        let place = match (self.voice, self.source_line) {
            (Some(voice), Some(line)) => vec![in_line(voice).into_owned(), line.to_string()],
            _ => Vec::new(),
        };
        let rest = [
            shown(Path::new(&self.file)),
            self.in_file.to_string(),
            self.line.to_string(),
            number(self.x),
            number(self.y),
            number(self.width),
            number(self.height),
            number(self.angle),
            if self.empty { "empty".to_owned() } else { String::new() },
        ];
        place.into_iter().chain(rest).collect()
    }
}

fn answer(listed: &[Listed<'_>], format: Format) -> Result<(), Failure> {
    let printed = match format {
        Format::Json => json(&Answer { version: 1, strips: listed }),
        Format::Text => Printed::plain(table(listed)),
    };
    streams::answer(Stream::Output, &printed)
}

/// A row a strip: words at the left of their columns, numbers at the right.
fn table(listed: &[Listed<'_>]) -> String {
    if listed.is_empty() {
        return "no staves are found\n".to_owned();
    }
    let own: &[&str] = if listed[0].voice.is_some() { &["voice", "line"] } else { &[] };
    let names = ["file", "page", "staff", "x", "y", "width", "height", "angle", ""];
    let names: Vec<String> = own.iter().chain(&names).map(|name| (*name).to_owned()).collect();
    let is_word: Vec<bool> =
        names.iter().map(|name| ["voice", "file", ""].contains(&name.as_str())).collect();
    let rows: Vec<Vec<String>> =
        std::iter::once(names).chain(listed.iter().map(Listed::cells)).collect();
    let width = |column: usize| rows.iter().map(|row| row[column].width()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..is_word.len()).map(width).collect();
    let mut table = String::new();
    for row in &rows {
        let cells = row.iter().zip(&widths).zip(&is_word).map(|((cell, width), is_word)| {
            let blanks = " ".repeat(width - cell.width());
            if *is_word { format!("{cell}{blanks}") } else { format!("{blanks}{cell}") }
        });
        table.push_str(cells.collect::<Vec<_>>().join("  ").trim_end());
        table.push('\n');
    }
    table
}
