//! `join`: where a second pair of voices can enter upon the end of a first.

mod answers;
mod sheet;
mod words;

use std::path::Path;

use cartella::{Asked, CadenceKind, Joined, Pair, join, join_models, joined_parts};

use crate::Outcome;
use crate::arguments::{CadenceName, Format, Join};
use crate::files::{self, Failure, Inputs};
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::report::{errors, json};
use crate::streams::{self, Stream, say};

pub(crate) fn run(options: &Join, colors: bool) -> Result<Outcome, Failure> {
    let (Some(first), Some(second)) = (&options.first, &options.second) else {
        return of_patterns(options);
    };
    let [one, other] = [pair(first, colors)?, pair(second, colors)?];
    let (Some(one), Some(other)) = (one, other) else { return Ok(Outcome::Findings) };
    let found = join(&one, &other, &asked(options));
    if let Some(output) = &options.output {
        let inputs = Inputs::of(&[first.clone(), second.clone()]);
        return write(&found, &one, output, options, &inputs);
    }
    let answer = match options.format {
        Format::Json => json(&answers::joinings(&found)),
        Format::Text => Printed::plain(words::joinings(&found)),
    };
    streams::answer(Stream::Output, &answer)?;
    Ok(if found.is_empty() { Outcome::Findings } else { Outcome::Done })
}

fn asked(options: &Join) -> Asked {
    Asked {
        all: options.all,
        extend: options.extend.into(),
        cadence: options.cadence.map(|kind| match kind {
            CadenceName::Second => CadenceKind::Second,
            CadenceName::Seventh => CadenceKind::Seventh,
            CadenceName::Fourth => CadenceKind::Fourth,
            CadenceName::Fifth => CadenceKind::Fifth,
        }),
        above: (options.above || options.below).then_some(options.above),
        reach: options.reach.into(),
        ..Asked::default()
    }
}

/// The pair of a file; nothing where it has errors, which are said.
fn pair(path: &Path, colors: bool) -> Result<Option<Pair>, Failure> {
    let loaded = Loaded::read(path)?;
    let example = loaded.one()?;
    let label = loaded.label(example);
    if example.has_errors() {
        let found = loaded.errors(example, example.diagnostics());
        say(&loaded.source(&label).render(&errors(&found), colors));
        return Ok(None);
    }
    let pair = example.pair().map_err(|error| Failure::Said(format!("{label} {error}")))?;
    Ok(Some(pair))
}

/// Writes one joining out.
fn write(
    found: &[Joined],
    first: &Pair,
    output: &Path,
    options: &Join,
    inputs: &Inputs,
) -> Result<Outcome, Failure> {
    let rank = usize::from(options.choose);
    let Some(joined) = found.get(rank - 1) else {
        say(&Printed::plain(match found.len() {
            0 => format!("{}; nothing is written\n", words::NONE),
            1 => format!("there is 1 joining, and none of rank {rank}; nothing is written\n"),
            count => {
                format!("there are {count} joinings, and none of rank {rank}; nothing is written\n")
            }
        }));
        return Ok(Outcome::Findings);
    };
    let text = joined_parts(&words::title(joined), &words::reasons(joined), joined, first);
    files::write_new(output, text.as_bytes(), options.replace, inputs)?;
    Ok(Outcome::Done)
}

fn of_patterns(options: &Join) -> Result<Outcome, Failure> {
    let models = join_models();
    if let Some(output) = &options.output {
        return sheet::patterns(&models, output, options.replace);
    }
    let answer = match options.format {
        Format::Json => json(&answers::patterns(&models)),
        Format::Text => Printed::plain(words::patterns(&models)),
    };
    streams::answer(Stream::Output, &answer)?;
    Ok(Outcome::Done)
}
