//! `mend`: where a slip most likely is, and what it most likely was.

use cartella::{BarLength, Code, Edit, LIKELY, Options, Suggestion};
use serde::Serialize;

use crate::Outcome;
use crate::arguments::{Format, Mend};
use crate::files::{self, Failure};
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::report::{self, Source, count, errors, json};
use crate::streams::{self, Stream, say};

/// Where nothing is likely, suggestions below this are not shown to a person.
const WORTH: f64 = 0.05;

#[derive(Serialize)]
struct Answer<'s> {
    version: u32,
    suggestions: Vec<Listed<'s>>,
    /// The errors, where there are some: then nothing is weighed.
    diagnostics: Vec<report::Listed<'s>>,
}

#[derive(Serialize)]
struct Listed<'s> {
    rank: usize,
    voice: &'s str,
    index: Option<u32>,
    line: u32,
    column: u32,
    printed: &'s str,
    read: &'s str,
    confidence: f64,
    reason: &'s str,
}

pub(crate) fn run(options: &Mend, colors: bool) -> Result<Outcome, Failure> {
    let loaded = Loaded::read(&options.file)?;
    if loaded.document.has_errors() {
        // What cannot be read cannot be weighed.
        let errors = errors(loaded.document.diagnostics());
        let source = loaded.source();
        if options.format == Format::Json {
            let diagnostics = source.listed(&errors);
            let answer = Answer { version: 1, suggestions: Vec::new(), diagnostics };
            streams::answer(Stream::Output, &json(&answer))?;
            return Ok(Outcome::Findings);
        }
        let (name, count) = (&loaded.name, count(&errors).unwrap_or_default());
        let last = format!("{name}: {count}; correct this first, then the voices can be weighed\n");
        say(&(source.render(&errors, colors) + Printed::plain(last)));
        return Ok(Outcome::Findings);
    }
    let aligned = loaded.score(BarLength::Breve);
    let suggestions = aligned.mend();
    if let Some(rank) = options.apply.or(options.emend) {
        let edits = edits(&loaded, &suggestions, rank, options.emend.is_some())?;
        let before = loaded.document.text().as_bytes();
        files::replace(&options.file, before, loaded.document.with(&edits).as_bytes())?;
        let taken = suggestions.iter().find(|suggestion| suggestion.rank == rank);
        if let Some(suggestion) = taken {
            let (line, _) = loaded.document.place(suggestion.span);
            let how = if options.emend.is_some() { "emended" } else { "typed" };
            let (name, change) = (&suggestion.name, suggestion.change());
            let said = format!("{}:{line}: {how} in {name}: {change}\n", loaded.name);
            say(&Printed::plain(said));
        }
        return Ok(Outcome::Done);
    }
    let source = loaded.source();
    let likely = suggestions.iter().any(|suggestion| suggestion.confidence >= LIKELY);
    let answer = match options.format {
        Format::Json => json(&Answer {
            version: 1,
            suggestions: suggestions.iter().map(|suggestion| listed(suggestion, &source)).collect(),
            diagnostics: Vec::new(),
        }),
        Format::Text if suggestions.is_empty() => {
            let alone = aligned.score.voices.len() < 2;
            let why = if alone { "; voices are weighed by one another" } else { "" };
            Printed::plain(format!("{}: no slip is found{why}\n", loaded.name))
        }
        Format::Text => {
            let head = if likely {
                String::new()
            } else {
                format!("{}: no slip is likely; if there is one, look here first:\n", loaded.name)
            };
            let shown = suggestions.iter().filter(|one| likely || one.confidence >= WORTH);
            let told: String = shown.map(|suggestion| told(suggestion, &source)).collect();
            let head =
                if told.is_empty() { format!("{}: no slip is found\n", loaded.name) } else { head };
            Printed::plain(format!("{}{head}{told}", missing_signs(&loaded, &source)))
        }
    };
    streams::answer(Stream::Output, &answer)?;
    Ok(if likely { Outcome::Findings } else { Outcome::Done })
}

/// Signs that seem to be missing: they displace whole passages, which then look like slips.
fn missing_signs(loaded: &Loaded, source: &Source<'_>) -> String {
    let found = loaded.document.check(BarLength::Breve, Options::USUAL_REACH).diagnostics;
    let missing = found.iter().filter(|found| found.code == Code::MissingSign);
    let told = missing.map(|found| {
        let (line, column) = source.place(found.span);
        format!("look at this first: {}:{line}:{column}: {}\n", source.name, found.message)
    });
    told.collect()
}

/// The edits of the suggestion of a rank.
fn edits(
    loaded: &Loaded,
    suggestions: &[Suggestion],
    rank: usize,
    as_emendation: bool,
) -> Result<Vec<Edit>, Failure> {
    let said = |said: String| Failure::Said(format!("{}: {said}", loaded.name));
    let Some(suggestion) = suggestions.iter().find(|suggestion| suggestion.rank == rank) else {
        return Err(said(match suggestions.len() {
            0 => "there is no suggestion".to_owned(),
            last => format!("there is no suggestion {rank}; they go from 1 to {last}"),
        }));
    };
    let edits = if as_emendation {
        loaded.document.emend(suggestion)
    } else {
        loaded.document.retype(suggestion)
    };
    edits.ok_or_else(|| {
        said(format!("suggestion {rank} cannot be typed by itself: change the file by hand"))
    })
}

fn listed<'s>(suggestion: &'s Suggestion, source: &Source<'_>) -> Listed<'s> {
    let (line, column) = source.place(suggestion.span);
    Listed {
        rank: suggestion.rank,
        voice: &suggestion.name,
        index: suggestion.index,
        line,
        column,
        printed: &suggestion.printed,
        read: &suggestion.read,
        confidence: (suggestion.confidence * 100.0).round() / 100.0,
        reason: &suggestion.reason,
    }
}

/// `1. Tenor 12, duet.parts:9:20: sm G for mn G (0.93)`, and the reason below it.
fn told(suggestion: &Suggestion, source: &Source<'_>) -> String {
    let Suggestion { rank, name, reason, confidence, .. } = suggestion;
    let (line, column) = source.place(suggestion.span);
    let index = suggestion.index.map_or(String::new(), |index| format!(" {index}"));
    let change = suggestion.change();
    format!(
        "{rank}. {name}{index}, {}:{line}:{column}: {change} ({confidence:.2})\n   {reason}\n",
        source.name
    )
}
