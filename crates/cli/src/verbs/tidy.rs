//! `tidy`: canonical form, in place.

use std::path::Path;

use cartella::{Error, Spelling};

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
    let Loaded { name, document, .. } = &loaded;
    let one = loaded.only.is_some().then(|| loaded.one()).transpose()?;
    let tidied = one.map_or_else(|| document.tidy(spelling), |one| one.tidy(spelling));
    let tidied = match tidied {
        Ok(tidied) => tidied,
        Err(Error::Faulty(found)) => {
            let errors = errors(&found);
            let shown = loaded.source(name).render(&errors, colors);
            let count = count(&errors).unwrap_or_default();
            answer.err =
                shown + Printed::plain(format!("{name}: {count}; the file is left as it is\n"));
            answer.outcome = Outcome::Findings;
            return Ok(answer);
        }
        Err(Error::OtherMusic(place)) => {
            let (line, column) = document.place(place);
            return Err(Failure::Said(format!(
                "{name}: its canonical form would change the music at line {line}, column {column}, \
                 so the file is left as it is; this is a fault of the program"
            )));
        }
        Err(error) => return Err(Failure::Said(format!("{name}: {error}"))),
    };
    if options.check {
        if tidied != document.text() {
            let name = one.map_or_else(|| name.clone(), |one| loaded.label(one));
            answer.out = Printed::plain(format!("{name} is not in canonical form\n"));
            answer.outcome = Outcome::Findings;
        }
    } else if is_stream(&loaded.path) {
        answer.out = Printed::as_it_is(tidied);
    } else if tidied != document.text() {
        files::replace(&loaded.path, document.text().as_bytes(), tidied.as_bytes())?;
    }
    Ok(answer)
}
