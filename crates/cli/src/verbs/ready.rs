//! A piece from its file to where it can be laid out.

use std::path::Path;

use cartella::{Aligned, Code, Diagnostic, Error, Example, Playing, Report};

use crate::Outcome;
use crate::arguments::Score;
use crate::files::Failure;
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::report::count;
use crate::verbs::pictures::Files;
use crate::verbs::show;

/// A piece that is ready to be laid out.
pub(crate) struct Ready<'l> {
    pub(crate) aligned: Aligned<'l>,
    /// The critical report, if that was asked for.
    pub(crate) report: Option<Report>,
    /// How it is played.
    pub(crate) playing: Playing,
    /// Its name in messages.
    pub(crate) name: String,
    /// The errors in it, for people.
    pub(crate) err: Printed,
    pub(crate) outcome: Outcome,
}

impl Ready<'_> {
    pub(crate) fn of<'l>(
        loaded: &'l Loaded,
        example: Example<'l>,
        options: &Score,
        colors: bool,
    ) -> Result<Ready<'l>, Failure> {
        let mut aligned = example.score(options.bars.bar.into());
        aligned.score.heading.file = loaded.stem();
        let name = loaded.label(example);
        let errors = loaded.errors(example, &aligned.diagnostics);
        let (apart, errors): (Vec<Diagnostic>, Vec<Diagnostic>) = errors
            .into_iter()
            .partition(|found| matches!(found.code, Code::NotTogether | Code::NotMeeting));
        let mut err = loaded.source(&name).render(&errors, colors);
        if aligned.score.voices.is_empty() {
            return Err(Failure::Found(err, format!("{name} has no music to lay out")));
        }
        err += show::add(&options.show, &name, &mut aligned);
        // Places are counted in the whole.
        let report = options.report.then(|| aligned.report());
        // Voices that are left out of a passage keep their seats, so they are seated before.
        let playing = options.sounding.playing(&aligned);
        let playing = playing.and_then(|playing| {
            options.passage.cut(&mut aligned, &options.blank)?;
            Ok(playing)
        });
        let playing = playing.map_err(|said| Failure::Said(format!("{name}: {said}")))?;
        let outcome = Outcome::of(&errors).max(Outcome::of(&apart));
        if let Some(count) = count(&errors) {
            let written = format!("{name}: {count}; the score is written all the same\n");
            err += Printed::plain(written);
        }
        if let Some(first) = apart.first() {
            let what = match first.code {
                Code::NotTogether => "end together",
                _ => "meet at the end of a section",
            };
            let (code, typed) = (first.code, loaded.to_type(example));
            err += Printed::plain(format!(
                "{name}: the voices do not {what} ({code}); the score is written all the same, and \
                 `cartella check {typed}` says more\n"
            ));
        }
        let report = report.map(|report| report.within(&aligned.score));
        Ok(Ready { aligned, report, playing, name, err, outcome })
    }

    /// A file that is written whole; else why it is not.
    pub(crate) fn file(&self, out: &Path, bytes: Result<Vec<u8>, Error>) -> Result<Files, Failure> {
        let bytes = bytes.map_err(|error| Failure::Said(format!("{}: {error}", self.name)))?;
        Ok(vec![(out.to_owned(), bytes)])
    }
}
