//! `check`: everything that is wrong or doubtful.

use std::path::Path;

use notation::{Diagnostic, Edit, apply};
use score::Aligned;
use serde::Serialize;

use crate::Outcome;
use crate::arguments::{Check, Format};
use crate::files::{self, Failure};
use crate::piece::Loaded;
use crate::report::{Listed, count, json};

#[derive(Serialize)]
struct Answer<'a> {
    version: u32,
    files: Vec<AnswerFile<'a>>,
}

#[derive(Serialize)]
struct AnswerFile<'a> {
    file: &'a str,
    diagnostics: Vec<Listed<'a>>,
}

pub(crate) fn run(options: &Check, colors: bool) -> Result<Outcome, Failure> {
    let mut outcome = Outcome::Done;
    let mut checked = Vec::new();
    for path in &options.files {
        let loaded = load(path, options)?;
        let (diagnostics, summary) = findings(&loaded, options);
        if diagnostics.iter().any(Diagnostic::is_error) {
            outcome = Outcome::Findings;
        }
        if options.format == Format::Text {
            let report = loaded.source().render(&diagnostics, colors);
            files::print(format!("{report}{}: {summary}\n", loaded.name).as_bytes())?;
        } else {
            checked.push((loaded, diagnostics));
        }
    }
    if options.format == Format::Json {
        let files = checked
            .iter()
            .map(|(loaded, diagnostics)| AnswerFile {
                file: &loaded.name,
                diagnostics: loaded.source().listed(diagnostics),
            })
            .collect();
        files::print(json(&Answer { version: 1, files }).as_bytes())?;
    }
    Ok(outcome)
}

/// The file, with what is mechanical mended if that was asked for.
fn load(path: &Path, options: &Check) -> Result<Loaded, Failure> {
    let loaded = Loaded::read(path)?;
    if !options.fix {
        return Ok(loaded);
    }
    let (diagnostics, _) = findings(&loaded, options);
    let edits: Vec<Edit> = diagnostics.into_iter().filter_map(|found| found.fix).collect();
    if edits.is_empty() {
        return Ok(loaded);
    }
    files::write(path, apply(&loaded.text, &edits).as_bytes())?;
    let changes = if edits.len() == 1 { "place" } else { "places" };
    eprintln!("{}: {} {changes} mended", loaded.name, edits.len());
    if files::is_stream(path) { Ok(loaded) } else { Loaded::read(path) }
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
