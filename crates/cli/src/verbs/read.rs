//! `read`: encoded parts to a parts file.

use std::path::Path;

use exchange::{LARGEST_FILE, MeiPart, Reading, read_mei};
use notation::{Spelling, tidy};

use crate::Outcome;
use crate::arguments::Read;
use crate::files::{self, Failure};

pub(crate) fn run(options: &Read) -> Result<Outcome, Failure> {
    let texts: Vec<(String, String)> =
        options.inputs.iter().map(|path| text(path)).collect::<Result<_, _>>()?;
    let parts: Vec<MeiPart<'_>> = texts.iter().map(|(name, text)| MeiPart { name, text }).collect();
    let Reading { text, remarks } =
        read_mei(&parts).map_err(|error| Failure::Said(error.to_string()))?;
    for remark in &remarks {
        eprintln!("{remark}");
    }
    // What was read is written even where it has errors: `check` then says which.
    let canonical = tidy(&text, Spelling::default());
    let clean = canonical.is_ok();
    let text = canonical.unwrap_or(text);
    files::write_new(&options.output, text.as_bytes(), options.replace)?;
    if !clean {
        eprintln!("what was read has errors; `cartella check` tells them");
        return Ok(Outcome::Findings);
    }
    Ok(Outcome::Done)
}

/// The name and text of a file.
fn text(path: &Path) -> Result<(String, String), Failure> {
    let bytes = files::read(path, LARGEST_FILE)?;
    let name = path.file_stem().map_or_else(|| files::shown(path), |n| n.to_string_lossy().into());
    let text = String::from_utf8(bytes).map_err(|_| {
        Failure::Said(format!("{} is no UTF-8 text, so it cannot be read as XML", path.display()))
    })?;
    Ok((name, text))
}
