//! `tidy`: canonical form, in place.

use std::path::Path;

use notation::{Spelling, tidy};

use crate::Outcome;
use crate::arguments::Tidy;
use crate::files::{self, Failure, is_stream};
use crate::piece::Loaded;
use crate::report::count;

pub(crate) fn run(options: &Tidy, colors: bool) -> Result<Outcome, Failure> {
    let mut outcome = Outcome::Done;
    for path in &options.files {
        outcome = outcome.max(tidy_file(path, options, colors)?);
    }
    Ok(outcome)
}

fn tidy_file(path: &Path, options: &Tidy, colors: bool) -> Result<Outcome, Failure> {
    let loaded = Loaded::read(path)?;
    let spelling = Spelling { letters: options.letters, ..Spelling::default() };
    let tidied = match tidy(&loaded.text, spelling) {
        Ok(tidied) if !loaded.parsed.has_errors() => tidied,
        _ => {
            let errors: Vec<_> =
                loaded.parsed.diagnostics.iter().filter(|d| d.is_error()).cloned().collect();
            eprint!("{}", loaded.source().render(&errors, colors));
            let count = count(&errors).unwrap_or_default();
            eprintln!("{}: {count}; the file is left as it is", loaded.name);
            return Ok(Outcome::Findings);
        }
    };
    if options.check {
        if tidied != loaded.text {
            println!("{} is not in canonical form", loaded.name);
            return Ok(Outcome::Findings);
        }
    } else if is_stream(path) || tidied != loaded.text {
        files::write(path, tidied.as_bytes())?;
    }
    Ok(Outcome::Done)
}
