//! `read`: encoded parts, or a score, to a parts file.

use std::path::Path;

use cartella::{Document, Error, LARGEST_FILE, MeiPart, Remark, is_musicxml};

use crate::Outcome;
use crate::arguments::Read;
use crate::files::{self, Failure, Inputs};
use crate::printed::{Printed, in_line};
use crate::streams::say;

/// A file that was read.
struct Input {
    /// Its name without folder and ending.
    name: String,
    bytes: Vec<u8>,
}

pub(crate) fn run(options: &Read) -> Result<Outcome, Failure> {
    let inputs: Vec<Input> =
        options.inputs.iter().map(|path| input(path)).collect::<Result<_, _>>()?;
    let (document, remarks) = reading(&inputs, options)?;
    for remark in &remarks {
        say(&Printed::plain(format!("{}\n", in_line(&remark.to_string()))));
    }
    // What was read is written even where it has errors: `check` then says which.
    let inputs = Inputs::of(&options.inputs);
    files::write_new(&options.output, document.text().as_bytes(), options.replace, &inputs)?;
    if document.has_errors() {
        say(&Printed::plain("the parts file has errors; `cartella check` lists them\n"));
        return Ok(Outcome::Findings);
    }
    Ok(Outcome::Done)
}

fn input(path: &Path) -> Result<Input, Failure> {
    let bytes = files::read(path, LARGEST_FILE)?;
    let name = path.file_stem().map_or_else(|| files::shown(path), |n| n.to_string_lossy().into());
    Ok(Input { name, bytes })
}

fn reading(inputs: &[Input], options: &Read) -> Result<(Document, Vec<Remark>), Failure> {
    let unread = |error: Error| Failure::Said(error.to_string());
    if inputs.iter().any(|input| is_musicxml(&input.bytes)) {
        let [score] = inputs else {
            let said = "read one MusicXML score at a time: it has all its voices in one file";
            return Err(Failure::Said(said.to_owned()));
        };
        let minim = options.minim.map(Into::into);
        return Document::read_musicxml(&score.name, &score.bytes, minim).map_err(unread);
    }
    let parts: Vec<MeiPart<'_>> = inputs.iter().map(part).collect::<Result<_, _>>()?;
    Document::read_mei(&parts).map_err(unread)
}

fn part(input: &Input) -> Result<MeiPart<'_>, Failure> {
    let text = std::str::from_utf8(&input.bytes).map_err(|_| {
        Failure::Said(format!("{} is not UTF-8 text, so it cannot be read as XML", input.name))
    })?;
    Ok(MeiPart { name: &input.name, text })
}
