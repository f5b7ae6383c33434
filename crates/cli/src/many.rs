//! Many files at once: all cores, answers in the order of the files, one file's failure its own.

use std::borrow::Cow;
use std::io::IsTerminal as _;
use std::path::{Path, PathBuf};

use indicatif::{ProgressBar, ProgressStyle};
use rayon::prelude::*;

use crate::Outcome;
use crate::files::Failure;
use crate::printed::Printed;
use crate::streams::{self, Stream, say};

/// Files are worked on in batches of so many, and each batch is answered before the next: so
/// memory does not grow with the number of files.
pub(crate) const BATCH: usize = 64;

/// What a file came to.
pub(crate) struct Answer {
    /// The answer itself.
    pub(crate) out: Printed,
    /// What is to be said beside it, on standard error.
    pub(crate) err: Printed,
    pub(crate) outcome: Outcome,
}

/// Where the answers go, and what stands before, between and after them.
pub(crate) struct Frame {
    pub(crate) to: Stream,
    pub(crate) opening: Cow<'static, str>,
    pub(crate) between: &'static str,
    pub(crate) closing: &'static str,
    /// What is looked for in the files, as the last line says it: `errors`.
    pub(crate) sought: &'static str,
}

impl Frame {
    /// Nothing but the answers.
    pub(crate) fn none(to: Stream) -> Frame {
        Frame { to, opening: "".into(), between: "", closing: "", sought: "errors" }
    }

    /// Nothing but the answers, each with a blank line before it but the first.
    pub(crate) fn apart(to: Stream) -> Frame {
        Frame { between: "\n", ..Frame::none(to) }
    }

    fn print(&self, answer: &Printed) -> Result<(), Failure> {
        streams::answer(self.to, answer)
    }
}

/// Does some work on each of the files. A failure with the only file is a failure of the run; of many, the others go on, and the
/// run fails at its end.
pub(crate) fn each(
    paths: &[PathBuf],
    jobs: Option<u16>,
    frame: &Frame,
    work: impl Fn(&Path) -> Result<Answer, Failure> + Sync,
) -> Result<Outcome, Failure> {
    if let [path] = paths {
        let (opening, closing) =
            (Printed::as_it_is(&*frame.opening), Printed::as_it_is(frame.closing));
        return match work(path) {
            Ok(answer) => {
                say(&answer.err);
                frame.print(&(opening + answer.out + closing))?;
                Ok(answer.outcome)
            }
            Err(failure) => {
                frame.print(&(opening + closing))?;
                Err(failure)
            }
        };
    }
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(jobs.map_or(0, usize::from))
        .build()
        .map_err(|error| Failure::Said(error.to_string()))?;
    frame.print(&Printed::as_it_is(&*frame.opening))?;
    let progress = progress(paths.len());
    let (mut done, mut findings, mut failures, mut is_first) = (0, 0, 0, true);
    for batch in paths.chunks(BATCH) {
        let answers: Vec<Result<Answer, Failure>> = pool.install(|| {
            let worked = batch.par_iter().map(|path| {
                let answer = work(path);
                progress.inc(1);
                answer
            });
            worked.collect()
        });
        for answer in answers {
            match answer {
                Ok(answer) => {
                    let between =
                        if is_first || answer.out.is_empty() { "" } else { frame.between };
                    is_first &= answer.out.is_empty();
                    let out = Printed::as_it_is(between) + answer.out;
                    progress.suspend(|| {
                        say(&answer.err);
                        frame.print(&out)
                    })?;
                    match answer.outcome {
                        Outcome::Done => done += 1,
                        Outcome::Findings => findings += 1,
                    }
                }
                Err(Failure::Closed) => return Err(Failure::Closed),
                Err(failure) => {
                    progress.suspend(|| say(&failure.printed()));
                    failures += 1;
                }
            }
        }
    }
    progress.finish_and_clear();
    frame.print(&Printed::as_it_is(frame.closing))?;
    say(&Printed::plain(summary(paths.len(), frame.sought, done, findings, failures) + "\n"));
    if failures > 0 {
        return Err(Failure::Said(format!("{failures} of {} files failed", paths.len())));
    }
    Ok(if findings > 0 { Outcome::Findings } else { Outcome::Done })
}

/// `12 files: 9 without errors, 2 with, 1 not done`
fn summary(files: usize, sought: &str, done: usize, findings: usize, failures: usize) -> String {
    let mut summary = format!("{files} files: {done} without {sought}");
    if findings > 0 {
        summary.push_str(&format!(", {findings} with"));
    }
    if failures > 0 {
        summary.push_str(&format!(", {failures} not done"));
    }
    summary
}

/// A bar for whoever looks at a terminal.
pub(crate) fn progress(files: usize) -> ProgressBar {
    if !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let style = ProgressStyle::with_template("{wide_bar} {pos} of {len}");
    ProgressBar::new(files as u64)
        .with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()))
}
