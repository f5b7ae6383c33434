//! `imitate`: at which intervals and delays a subject can be imitated closely.

mod answers;
mod questions;
mod sheets;
mod words;

pub(crate) use sheets::put_examples;
pub(crate) use words::sounding;

use std::path::{Path, PathBuf};

use cartella::invention::{
    Ending, Entry, Intervals, Row, Signed, Steps, Subject, Verdict, ensemble, moves, patterns, row,
    several, strict_table, table, write_out,
};
use cartella::{Document, SubjectError, Time, imitation_parts, subject};

use crate::Outcome;
use crate::arguments::{Format, Imitate};
use crate::files::{self, Failure, Inputs};
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::report::{Source, json};
use crate::streams::{self, Stream, say};

/// So many imitations in three and four voices are listed.
const MOST_LISTED: usize = 60;

pub(crate) fn run(options: &Imitate, colors: bool) -> Result<Outcome, Failure> {
    if let Some(count) = options.ask {
        return sheets::ask(usize::from(count), options);
    }
    if let Some(entry) = &options.moves {
        return of_moves(entry, options.format);
    }
    if options.patterns {
        return of_patterns(options);
    }
    if options.output.is_some() && options.choose.is_none() {
        let said = "-o writes one imitation: say which, as in --choose \"5 above after 1\"";
        return Err(Failure::Said(said.to_owned()));
    }
    let Some((subject, inputs)) = of_options(options, colors)? else {
        return Ok(Outcome::Findings);
    };
    match &options.choose {
        Some(entries) => choose(&subject, entries, options, &inputs),
        None => {
            streams::answer(Stream::Output, &listed(&subject, options))?;
            Ok(Outcome::Done)
        }
    }
}

/// The table, or the imitations in three and four voices.
fn listed(subject: &Subject, options: &Imitate) -> Printed {
    let mirrored = options.mirror.then(|| subject.mirrored());
    if options.voices > 2 {
        let found = several(subject, options.voices.into(), MOST_LISTED);
        return match options.format {
            Format::Json => json(&answers::ensembles(subject, &found)),
            Format::Text => Printed::plain(words::ensembles(subject, options.voices, &found)),
        };
    }
    let intervals = if options.all { Intervals::Ninth } else { Intervals::Octave };
    let rows =
        if options.licences { table(subject, intervals) } else { strict_table(subject, intervals) };
    let mirror = |entry: Entry| {
        let entry = Entry { steps: -entry.steps, ..entry };
        mirrored.as_ref().and_then(|mirrored| one_row(mirrored, entry, options.licences))
    };
    match options.format {
        Format::Json => json(&answers::table(subject, &rows, mirror)),
        Format::Text => Printed::plain(words::table(subject, &rows, mirrored.as_ref(), mirror)),
    }
}

/// One row of the table, with licences or without.
fn one_row(subject: &Subject, entry: Entry, licences: bool) -> Option<Row> {
    let row = row(subject, entry)?;
    Some(if licences { row } else { row.strict() })
}

/// The subject that was typed or named; nothing where it has errors, which are said.
fn of_options(options: &Imitate, colors: bool) -> Result<Option<(Subject, Inputs)>, Failure> {
    if let Some(line) = &options.subject {
        return match subject(line) {
            Ok(subject) => Ok(Some((subject, Inputs::default()))),
            Err(SubjectError::Faulty(found)) => {
                let document = Document::parse(line.as_str());
                let source = Source { name: "the subject", document: &document };
                say(&source.render(&found, colors));
                Ok(None)
            }
            Err(error) => Err(Failure::Said(said(&error, ""))),
        };
    }
    let [file, voice, range] = options.from.as_slice() else {
        return Err(Failure::Said("type a subject, as in \"mn D4 E F sb G\"".to_owned()));
    };
    let Some((first, last)) = of_range(range) else {
        return Err(Failure::Said(format!(
            "`{range}` does not say which notes: type the numbers of the first and the last, as in 1-6"
        )));
    };
    let path = PathBuf::from(file);
    let loaded = Loaded::read(&path)?;
    let example = loaded.one()?;
    if example.has_errors() {
        say(&loaded.source(&loaded.label(example)).render(
            &crate::report::errors(&loaded.errors(example, example.diagnostics())),
            colors,
        ));
    }
    let found = example.subject(voice, first, last).map_err(|error| {
        let names: Vec<&str> =
            example.piece().voices.iter().map(|voice| voice.name.as_str()).collect();
        let name = loaded.label(example);
        Failure::Said(match error {
            SubjectError::NoVoice => {
                format!("{name} has no voice {voice}; its voices are {}", names.join(" "))
            }
            error => format!("{name}, {voice} {range}: {}", said(&error, voice)),
        })
    })?;
    Ok(Some((found, Inputs::of(&[path]))))
}

/// `3-8`; a single number is one note.
fn of_range(typed: &str) -> Option<(u32, u32)> {
    let (first, last) = typed.split_once('-').unwrap_or((typed, typed));
    let (first, last) = (first.parse().ok()?, last.parse().ok()?);
    (1 <= first && first <= last).then_some((first, last))
}

fn said(error: &SubjectError, voice: &str) -> String {
    match error {
        SubjectError::NoEvents(printed) => {
            format!("{voice} has {printed} notes and rests, numbered from 1")
        }
        SubjectError::NoSubject(error) => error.to_string(),
        _ => "the subject cannot be read".to_owned(),
    }
}

fn entry(typed: &str) -> Result<Entry, Failure> {
    Entry::parse(typed).map_err(|error| Failure::Said(error.to_string()))
}

/// Writes one imitation out.
fn choose(
    subject: &Subject,
    typed: &str,
    options: &Imitate,
    inputs: &Inputs,
) -> Result<Outcome, Failure> {
    let mut entries = typed.split(',').map(entry).collect::<Result<Vec<Entry>, Failure>>()?;
    entries.sort_by_key(|entry| entry.delay);
    if entries.len() > 3 {
        let said = "at most three voices can follow: name one, two or three entries";
        return Err(Failure::Said(said.to_owned()));
    }
    close(subject, &entries)?;
    let signs = match judged(subject, &entries, options.licences) {
        Ok(signs) => signs,
        Err(why) => {
            say(&Printed::plain(format!("{typed} {why}; nothing is written\n")));
            return Ok(Outcome::Findings);
        }
    };
    let ending = if options.cadence { Ending::Cadence } else { Ending::Open };
    let Some(parts) = write_out(subject, &entries, &signs, ending) else {
        say(&Printed::plain(format!(
            "{typed}: no continuation without faults is found for the voices that end first; nothing is \
             written\n"
        )));
        return Ok(Outcome::Findings);
    };
    let text = imitation_parts(&words::title(&entries), subject, &parts);
    put(text.as_bytes(), options.output.as_deref(), options, inputs)
}

/// That every voice enters while the one before it is still at the subject.
fn close(subject: &Subject, entries: &[Entry]) -> Result<(), Failure> {
    let delays = entries.iter().map(|entry| entry.delay);
    let before = std::iter::once(Time::ZERO).chain(delays.clone());
    for (entry, (before, delay)) in entries.iter().zip(before.zip(delays)) {
        let length = subject.length();
        if delay - before >= length {
            return Err(Failure::Said(format!(
                "{entry} is not close: the voice before it has ended the subject, which has {} minims",
                length.spoken()
            )));
        }
        if delay == before {
            let said =
                format!("{entry}: two voices enter at once, and one could not be told to follow");
            return Err(Failure::Said(said));
        }
    }
    Ok(())
}

/// The signs that an imitation needs, or how it fails.
fn judged(subject: &Subject, entries: &[Entry], licences: bool) -> Result<Vec<Signed>, String> {
    if let [entry] = entries {
        let found = one_row(subject, *entry, licences)
            .ok_or("meets nothing: no note begins while both sound")?;
        return match found.verdict {
            Verdict::Fails if found.fault == found.licence => {
                Err(format!("{} (--licences writes it all the same)", words::verdict(&found)))
            }
            Verdict::Fails => Err(words::verdict(&found)),
            _ => Ok(found.signs),
        };
    }
    match ensemble(subject, entries) {
        Ok(found) => Ok(found.signs),
        Err(fault) => Err(format!("fails: {fault}")),
    }
}

/// Writes what was asked for, to standard output unless a file is named.
fn put(
    bytes: &[u8],
    output: Option<&Path>,
    options: &Imitate,
    inputs: &Inputs,
) -> Result<Outcome, Failure> {
    let path = output.unwrap_or(Path::new("-"));
    files::write_new(path, bytes, options.replace, inputs)?;
    Ok(Outcome::Done)
}

fn of_moves(typed: &str, format: Format) -> Result<Outcome, Failure> {
    let entry = entry(typed)?;
    let notes = entry.delay.exactly(Time::minims(1)).filter(|notes| *notes <= 8);
    let Some(notes) = notes else {
        return Err(Failure::Said(format!(
            "`after {}` is no whole number of notes: moves are those of notes of a minim, after 1 to 8",
            entry.delay
        )));
    };
    let found = moves(entry.steps);
    let answer = match format {
        Format::Json => json(&answers::moves(entry, &found)),
        Format::Text => Printed::plain(words::moves(Steps(entry.steps), notes, &found)),
    };
    streams::answer(Stream::Output, &answer)?;
    Ok(Outcome::Done)
}

fn of_patterns(options: &Imitate) -> Result<Outcome, Failure> {
    let found = patterns();
    if let Some(output) = &options.output {
        return sheets::patterns(&found, output, options);
    }
    let answer = match options.format {
        Format::Json => json(&answers::patterns(&found)),
        Format::Text => Printed::plain(words::patterns(&found)),
    };
    streams::answer(Stream::Output, &answer)?;
    Ok(Outcome::Done)
}
