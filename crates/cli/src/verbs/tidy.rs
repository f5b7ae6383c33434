//! `tidy`: canonical form, in place.

use std::path::Path;

use notation::{Spelling, tidy};

use crate::Outcome;
use crate::arguments::Tidy;
use crate::files::{self, Failure, is_stream};
use crate::many::{Answer, each};
use crate::piece::Loaded;
use crate::report::count;

pub(crate) fn run(options: &Tidy, colors: bool) -> Result<Outcome, Failure> {
    each(&options.files, options.many.jobs, "", |path| tidy_file(path, options, colors))
}

fn tidy_file(path: &Path, options: &Tidy, colors: bool) -> Result<Answer, Failure> {
    let loaded = Loaded::read(path)?;
    let spelling = Spelling { letters: options.letters, ..Spelling::default() };
    let mut answer = Answer { out: String::new(), err: String::new(), outcome: Outcome::Done };
    let tidied = match tidy(&loaded.text, spelling) {
        Ok(tidied) if !loaded.parsed.has_errors() => tidied,
        _ => {
            let errors: Vec<_> =
                loaded.parsed.diagnostics.iter().filter(|d| d.is_error()).cloned().collect();
            let shown = loaded.source().render(&errors, colors);
            let count = count(&errors).unwrap_or_default();
            answer.err = format!("{shown}{}: {count}; the file is left as it is\n", loaded.name);
            answer.outcome = Outcome::Findings;
            return Ok(answer);
        }
    };
    loaded.must_be_the_music_of(&tidied)?;
    if options.check {
        if tidied != loaded.text {
            answer.out = format!("{} is not in canonical form\n", loaded.name);
            answer.outcome = Outcome::Findings;
        }
    } else if is_stream(path) {
        answer.out = tidied;
    } else if tidied != loaded.text {
        files::write(path, tidied.as_bytes())?;
    }
    Ok(answer)
}
