//! `cartella`: voices as printed in, scores out. A thin layer over the crates that do the work.

mod arguments;
mod files;
mod many;
mod paper;
mod piece;
mod report;
mod usage;
mod verbs;
mod watch;

use std::process::ExitCode;

use clap::Parser as _;

use arguments::{Arguments, Verb};
use files::Failure;

/// What a run came to, beside having failed to run at all.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Outcome {
    /// Done; there may be warnings.
    Done,
    /// There are errors or findings in the input; what can be written is written.
    Findings,
}

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version are answers; anything else could not run.
            let code = if error.use_stderr() { 2 } else { 0 };
            match usage::said(&error) {
                Some(said) => eprintln!("cartella: {said}"),
                None => {
                    let _ = error.print();
                }
            }
            return ExitCode::from(code);
        }
    };
    let colors = arguments.color.resolve();
    let outcome = match arguments.verb {
        None => verbs::itself::run(arguments.completions, arguments.manual),
        Some(verb) => run(verb, colors),
    };
    match outcome {
        Ok(Outcome::Done) | Err(Failure::Closed) => ExitCode::SUCCESS,
        Ok(Outcome::Findings) => ExitCode::from(1),
        Err(failure) => {
            eprintln!("cartella: {failure}");
            ExitCode::from(2)
        }
    }
}

fn run(verb: Verb, colors: bool) -> Result<Outcome, Failure> {
    match verb {
        Verb::New(options) => verbs::new::run(&options),
        Verb::Read(options) => verbs::read::run(&options),
        Verb::Check(options) => verbs::check::run(&options, colors),
        Verb::Tidy(options) => verbs::tidy::run(&options, colors),
        Verb::Grid(options) => verbs::grid::run(&options, colors),
        Verb::Score(options) => verbs::score::run(&options, colors),
        Verb::Mend(options) => verbs::mend::run(&options, colors),
        Verb::Collate(options) => verbs::collate::run(&options, colors),
        Verb::Report(options) => verbs::report::run(&options, colors),
        Verb::Explain(options) => verbs::explain::run(&options),
    }
}
