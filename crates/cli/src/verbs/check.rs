//! `check`: everything that is wrong or doubtful.

use std::path::{Path, PathBuf};

use notation::{Diagnostic, Edit, apply};
use score::Aligned;
use serde::Serialize;

use crate::Outcome;
use crate::arguments::{Check, Format};
use crate::files::{self, Failure};
use crate::many::{Answer, each};
use crate::piece::Loaded;
use crate::report::{Listed, count, json};
use crate::watch;

#[derive(Serialize)]
struct CheckedFile<'a> {
    file: &'a str,
    diagnostics: Vec<Listed<'a>>,
}

pub(crate) fn run(options: &Check, colors: bool) -> Result<Outcome, Failure> {
    let check = |paths: &[PathBuf]| match options.format {
        Format::Text => {
            each(paths, options.many.jobs, "", |path| check_file(path, options, colors))
        }
        Format::Json => check_as_json(paths, options),
    };
    if options.watch { watch::again(&options.files, check) } else { check(&options.files) }
}

fn check_file(path: &Path, options: &Check, colors: bool) -> Result<Answer, Failure> {
    let (loaded, err) = load(path, options)?;
    if let Some((voice, index)) = &options.why {
        return why(&loaded, voice, *index, options);
    }
    let (diagnostics, summary) = findings(&loaded, options);
    let report = loaded.source().render(&diagnostics, colors);
    let out = format!("{report}{}: {summary}\n", loaded.name);
    Ok(Answer { out, err, outcome: outcome(&diagnostics) })
}

/// Why an event lasts as long as it does.
fn why(loaded: &Loaded, voice: &str, index: u32, options: &Check) -> Result<Answer, Failure> {
    let score = loaded.align(options.bars.bar.into()).score;
    let Some(sentence) = score::why(&score, voice, index) else {
        let names: Vec<&str> = score.voices.iter().map(|voice| voice.name.as_str()).collect();
        let message = match score.voices.iter().find(|found| found.name == voice) {
            Some(found) => {
                let last = found.events.iter().filter_map(|event| event.index).max();
                format!("{voice} has no event {index}; its last is {}", last.unwrap_or(0))
            }
            None => format!("there is no voice {voice}; the voices are {}", names.join(", ")),
        };
        return Err(Failure::Said(format!("{}: {message}", loaded.name)));
    };
    Ok(Answer { out: format!("{sentence}\n"), err: String::new(), outcome: Outcome::Done })
}

/// One object for all files, written file by file.
fn check_as_json(paths: &[PathBuf], options: &Check) -> Result<Outcome, Failure> {
    files::print(b"{\"version\":1,\"files\":[")?;
    let result = each(paths, options.many.jobs, ",", |path| {
        let (loaded, err) = load(path, options)?;
        let (diagnostics, _) = findings(&loaded, options);
        let listed = loaded.source().listed(&diagnostics);
        let file = CheckedFile { file: &loaded.name, diagnostics: listed };
        let out = json(&file).trim_end().to_owned();
        Ok(Answer { out, err, outcome: outcome(&diagnostics) })
    });
    files::print(b"]}\n")?;
    result
}

fn outcome(diagnostics: &[Diagnostic]) -> Outcome {
    if diagnostics.iter().any(Diagnostic::is_error) { Outcome::Findings } else { Outcome::Done }
}

/// The file, with what is mechanical mended if that was asked for, and what is said of that.
fn load(path: &Path, options: &Check) -> Result<(Loaded, String), Failure> {
    let loaded = Loaded::read(path)?;
    if !options.fix {
        return Ok((loaded, String::new()));
    }
    let (diagnostics, _) = findings(&loaded, options);
    let edits: Vec<Edit> = diagnostics.into_iter().filter_map(|found| found.fix).collect();
    if edits.is_empty() {
        return Ok((loaded, String::new()));
    }
    files::write(path, apply(&loaded.text, &edits).as_bytes())?;
    let places = if edits.len() == 1 { "place" } else { "places" };
    let said = format!("{}: {} {places} mended\n", loaded.name, edits.len());
    let loaded = if files::is_stream(path) { loaded } else { Loaded::read(path)? };
    Ok((loaded, said))
}

/// All that was noticed, and how the file stands in a few words.
fn findings(loaded: &Loaded, options: &Check) -> (Vec<Diagnostic>, String) {
    let Aligned { score, diagnostics } = loaded.check(options.bars.bar.into(), options.reach);
    let size = format!(
        "{} voices, {} bars, {} minims",
        score.voices.len(),
        score.bars.len(),
        score.length.spoken()
    );
    let summary = match count(&diagnostics) {
        Some(count) => format!("{count}; {size}"),
        None => format!("nothing wrong; {size}"),
    };
    (diagnostics, summary)
}
