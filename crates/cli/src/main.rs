//! `cartella`: voices as printed in, scores out. A thin layer over the crates that do the work.

mod arguments;
mod collection;
mod columns;
mod compass;
mod content;
mod desk;
mod files;
mod instrument;
mod interruption;
mod kind;
mod many;
mod paper;
mod passage;
mod piece;
mod printed;
mod report;
mod sounding;
mod streams;
mod usage;
mod verbs;
mod watch;

use std::process::ExitCode;

use clap::Parser as _;

use arguments::{Arguments, Verb};
use files::Failure;
use streams::Stream;

/// What a run came to, beside having failed to run at all.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Outcome {
    /// Done; there may be warnings.
    Done,
    /// There are errors or findings in the input; what can be written is written.
    Findings,
}

impl Outcome {
    /// By what was found.
    fn of(found: &[cartella::Diagnostic]) -> Outcome {
        if found.iter().any(cartella::Diagnostic::is_error) {
            Outcome::Findings
        } else {
            Outcome::Done
        }
    }
}

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version are answers; anything else could not run.
            let (is_answer, printed) = (!error.use_stderr(), usage::printed(error));
            return status(if is_answer {
                streams::answer(Stream::Output, &printed).map(|()| Outcome::Done)
            } else {
                Err(Failure::Misused(printed))
            });
        }
    };
    let colors = arguments.color.resolve();
    let outcome = match arguments.verb {
        None => verbs::itself::run(arguments.completions, arguments.manual),
        Some(verb) => run(verb, colors),
    };
    status(outcome)
}

/// Says why a run failed, if it did, and gives its exit status.
fn status(outcome: Result<Outcome, Failure>) -> ExitCode {
    let status = match outcome {
        Ok(Outcome::Done) | Err(Failure::Closed) => 0,
        Ok(Outcome::Findings) => 1,
        Err(failure) => {
            streams::say(&failure.printed());
            2
        }
    };
    ExitCode::from(if streams::all_said() { status } else { 2 })
}

fn run(verb: Verb, colors: bool) -> Result<Outcome, Failure> {
    match verb {
        Verb::New(options) => verbs::new::run(&options),
        Verb::Read(options) => verbs::read::run(&options),
        Verb::Check(options) => verbs::check::run(&options, colors),
        Verb::Tidy(options) => verbs::tidy::run(&options, colors),
        Verb::Grid(options) => verbs::grid::run(&options, colors),
        Verb::Score(options) => verbs::score::run(&options, colors),
        Verb::Proof(options) => verbs::proof::run(&options, colors),
        Verb::Mend(options) => verbs::mend::run(&options, colors),
        Verb::Imitate(options) => verbs::imitate::run(&options, colors),
        Verb::Join(options) => verbs::join::run(&options, colors),
        Verb::Collate(options) => verbs::collate::run(&options, colors),
        Verb::Study(options) => verbs::study::run(&options, colors),
        Verb::Report(options) => verbs::report::run(&options, colors),
        Verb::Catalogue(options) => verbs::catalogue::run(&options),
        Verb::Find(options) => verbs::find::run(&options, colors),
        Verb::Book(options) => verbs::treatise::run(&options),
        Verb::Desk(options) => desk::run(&options),
        Verb::Sheet(options) => verbs::sheet::run(&options, colors),
        Verb::Explain(options) => verbs::explain::run(&options),
    }
}
