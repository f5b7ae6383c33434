//! `tidy`: canonical form, in place.

use std::path::Path;

use notation::{Spelling, tidy};

use crate::Outcome;
use crate::arguments::Tidy;
use crate::files::{self, Failure, is_stream};
use crate::many::{Answer, Frame, each};
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::report::{count, errors};
use crate::streams::Stream;

pub(crate) fn run(options: &Tidy, colors: bool) -> Result<Outcome, Failure> {
    let frame = Frame::none(Stream::Output);
    each(&options.files, options.many.jobs, &frame, |path| tidy_file(path, options, colors))
}

fn tidy_file(path: &Path, options: &Tidy, colors: bool) -> Result<Answer, Failure> {
    let loaded = Loaded::read(path)?;
    let spelling = Spelling { letters: options.letters, ..Spelling::default() };
    let mut answer =
        Answer { out: Printed::default(), err: Printed::default(), outcome: Outcome::Done };
    let tidied = match tidy(&loaded.text, spelling) {
        Ok(tidied) if !loaded.parsed.has_errors() => tidied,
        _ => {
            let errors = errors(&loaded.parsed.diagnostics);
            let shown = loaded.source().render(&errors, colors);
            let count = count(&errors).unwrap_or_default();
            let last = format!("{}: {count}; the file is left as it is\n", loaded.name);
            answer.err = shown + Printed::plain(last);
            answer.outcome = Outcome::Findings;
            return Ok(answer);
        }
    };
    loaded.must_be_the_music_of(&tidied)?;
    if options.check {
        if tidied != loaded.text {
            let said = format!("{} is not in canonical form\n", loaded.name);
            answer.out = Printed::plain(said);
            answer.outcome = Outcome::Findings;
        }
    } else if is_stream(path) {
        answer.out = Printed::as_it_is(tidied);
    } else if tidied != loaded.text {
        files::replace(path, loaded.text.as_bytes(), tidied.as_bytes())?;
    }
    Ok(answer)
}
