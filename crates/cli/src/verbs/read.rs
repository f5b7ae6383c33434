//! `read`: encoded parts, or a score, to a parts file.

use std::path::Path;

use exchange::{LARGEST_FILE, MeiPart, ReadError, Reading, read_mei, read_musicxml};
use notation::{Spelling, parse, tidy};
use score::first_difference;

use crate::Outcome;
use crate::arguments::Read;
use crate::files::{self, Failure, Inputs};
use crate::piece::musicxml_minim;
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
    let Reading { text, remarks } = reading(&inputs, options)?;
    for remark in &remarks {
        say(&Printed::plain(format!("{}\n", in_line(&remark.to_string()))));
    }
    // What was read is written even where it has errors: `check` then says which.
    let canonical = tidy(&text, Spelling::default());
    let clean = canonical.is_ok();
    // What a dot or a black note means may depend on how it is typed: then it stays so.
    let same = |canonical: &String| {
        first_difference(&parse(&text).piece, &parse(canonical).piece).is_none()
    };
    let text = canonical.ok().filter(same).unwrap_or(text);
    let inputs = Inputs::of(&options.inputs);
    files::write_new(&options.output, text.as_bytes(), options.replace, &inputs)?;
    if !clean {
        say(&Printed::plain("what was read has errors; `cartella check` tells them\n"));
        return Ok(Outcome::Findings);
    }
    Ok(Outcome::Done)
}

fn input(path: &Path) -> Result<Input, Failure> {
    let bytes = files::read(path, LARGEST_FILE)?;
    let name = path.file_stem().map_or_else(|| files::shown(path), |n| n.to_string_lossy().into());
    Ok(Input { name, bytes })
}

fn reading(inputs: &[Input], options: &Read) -> Result<Reading, Failure> {
    let unread = |error: ReadError| Failure::Said(error.to_string());
    if inputs.iter().any(|input| is_score(&input.bytes)) {
        let [score] = inputs else {
            let said = "a MusicXML score is read alone: it has all its voices in one file";
            return Err(Failure::Said(said.to_owned()));
        };
        let minim = options.minim.map(musicxml_minim);
        return read_musicxml(&score.name, &score.bytes, minim).map_err(unread);
    }
    let parts: Vec<MeiPart<'_>> = inputs.iter().map(part).collect::<Result<_, _>>()?;
    read_mei(&parts).map_err(unread)
}

fn part(input: &Input) -> Result<MeiPart<'_>, Failure> {
    let text = std::str::from_utf8(&input.bytes).map_err(|_| {
        Failure::Said(format!("{} is no UTF-8 text, so it cannot be read as XML", input.name))
    })?;
    Ok(MeiPart { name: &input.name, text })
}

/// Whether a file is a MusicXML score, whatever its name: compressed, or with the name of the
/// outermost element near its beginning.
pub(crate) fn is_score(bytes: &[u8]) -> bool {
    const ROOTS: [&[u8]; 2] = [b"<score-partwise", b"<score-timewise"];
    let beginning = &bytes[..bytes.len().min(4096)];
    let has = |root: &[u8]| beginning.windows(root.len()).any(|found| found == root);
    bytes.starts_with(b"PK\x03\x04") || ROOTS.into_iter().any(has)
}
