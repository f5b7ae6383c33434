//! `read`: pictures of a source, encoded parts, or a score, to a parts file; and how a print looks, learned.

mod encoded;
mod learned;
mod scanned;
mod style;
mod voices;

use std::path::PathBuf;

use cartella::{Document, Remark};

use crate::Outcome;
use crate::arguments::Read;
use crate::files::{self, Failure, Inputs};
use crate::printed::{Printed, in_line};
use crate::streams::say;

pub(crate) fn run(options: &Read) -> Result<Outcome, Failure> {
    let inputs = inputs(&options.inputs);
    if options.learn {
        return learned::run(options, &inputs);
    }
    let files: Vec<PathBuf> = inputs.iter().map(|input| input.path.clone()).collect();
    let files = Inputs::of(&files);
    // Reading takes a while.
    files::check_place(&options.output, options.replace, &files)?;
    let read = if scanned::are_pictures(&inputs)? {
        scanned::read(&inputs, options)?
    } else {
        Some(encoded::read(&inputs, options)?)
    };
    let Some((document, remarks)) = read else { return Ok(Outcome::Findings) };
    for remark in &remarks {
        say(&Printed::plain(format!("{}\n", in_line(&remark.to_string()))));
    }
    // What was read is written even where it has errors: `check` then says which.
    files::write_new(&options.output, document.text().as_bytes(), options.replace, &files)?;
    if document.has_errors() {
        say(&Printed::plain("the parts file has errors; `cartella check` lists them\n"));
        return Ok(Outcome::Findings);
    }
    Ok(Outcome::Done)
}

/// What was read: the parts file, and remarks.
type Reading = (Document, Vec<Remark>);

/// A word of the command line: a file, and the voice that it is said to show.
struct Input {
    voice: Option<String>,
    path: PathBuf,
}

/// `VOICE=FILE`, unless there is a file of that name; or a file.
fn inputs(words: &[PathBuf]) -> Vec<Input> {
    let one = |word: &PathBuf| {
        let parted = word.to_str().and_then(|text| text.split_once('='));
        match parted.filter(|_| !word.exists()) {
            Some((voice, file)) => Input { voice: Some(voice.to_owned()), path: file.into() },
            None => Input { voice: None, path: word.clone() },
        }
    };
    words.iter().map(one).collect()
}
