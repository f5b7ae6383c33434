//! Many files at once: all cores, answers in the order of the files, one file's failure its own.

use std::io::IsTerminal as _;
use std::path::{Path, PathBuf};

use indicatif::{ProgressBar, ProgressStyle};
use rayon::prelude::*;

use crate::Outcome;
use crate::files::{Failure, print};

/// Files are worked on in batches of so many, and each batch is answered before the next: so
/// memory does not grow with the number of files.
const BATCH: usize = 64;

/// What a file came to.
pub(crate) struct Answer {
    /// For standard output.
    pub(crate) out: String,
    /// For standard error.
    pub(crate) err: String,
    pub(crate) outcome: Outcome,
}

/// Does some work on each of the files; `between` is printed between two answers. A failure with the only file is a failure of the run; of
/// many, the others go on, and the run fails at its end.
pub(crate) fn each(
    paths: &[PathBuf],
    jobs: Option<u16>,
    between: &str,
    work: impl Fn(&Path) -> Result<Answer, Failure> + Sync,
) -> Result<Outcome, Failure> {
    if let [path] = paths {
        let answer = work(path)?;
        eprint!("{}", answer.err);
        print(answer.out.as_bytes())?;
        return Ok(answer.outcome);
    }
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(jobs.map_or(0, usize::from))
        .build()
        .map_err(|error| Failure::Said(error.to_string()))?;
    let progress = progress(paths.len());
    let (mut done, mut findings, mut failures) = (0, 0, 0);
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
                    progress.suspend(|| eprint!("{}", answer.err));
                    let between = if done + findings > 0 { between } else { "" };
                    let out = format!("{between}{}", answer.out);
                    progress.suspend(|| print(out.as_bytes()))?;
                    match answer.outcome {
                        Outcome::Done => done += 1,
                        Outcome::Findings => findings += 1,
                    }
                }
                Err(Failure::Closed) => return Err(Failure::Closed),
                Err(failure) => {
                    progress.suspend(|| eprintln!("cartella: {failure}"));
                    failures += 1;
                }
            }
        }
    }
    progress.finish_and_clear();
    eprintln!("{}", summary(paths.len(), done, findings, failures));
    if failures > 0 {
        return Err(Failure::Said(format!("{failures} of {} files failed", paths.len())));
    }
    Ok(if findings > 0 { Outcome::Findings } else { Outcome::Done })
}

/// `12 files: 9 without errors, 2 with, 1 not done`
fn summary(files: usize, done: usize, findings: usize, failures: usize) -> String {
    let mut summary = format!("{files} files: {done} without errors");
    if findings > 0 {
        summary.push_str(&format!(", {findings} with"));
    }
    if failures > 0 {
        summary.push_str(&format!(", {failures} not done"));
    }
    summary
}

/// A bar for whoever looks at a terminal.
fn progress(files: usize) -> ProgressBar {
    if !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let style = ProgressStyle::with_template("{wide_bar} {pos} of {len}");
    ProgressBar::new(files as u64)
        .with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()))
}
