//! `proof`: each voice as its source prints it, to be proofed by eye; or what each line has, in numbers.

mod audit;
mod facsimile;
mod outputs;
mod sheet;
mod tally;

use cartella::{Copied, Copy, CopyClefs, Diagnostic, Example, Strip};

use crate::Outcome;
use crate::arguments::{Proof, ProofClefs};
use crate::files::{Failure, Inputs};
use crate::many::{Answer, Frame, each};
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::report::count;

pub(crate) fn run(options: &Proof, colors: bool) -> Result<Outcome, Failure> {
    if options.tally {
        return tally::run(options, colors);
    }
    if options.strips {
        return facsimile::strips::run(options, colors);
    }
    if !options.facsimile.is_empty() && options.files.len() > 1 {
        return Err(Failure::Said("--facsimile shows one piece: name one parts file".to_owned()));
    }
    outputs::check(options)?;
    if outputs::is_book(options) {
        return sheet::book(options, colors);
    }
    let inputs = Inputs::of(&options.files);
    each(&options.files, options.many.jobs, &Frame::none(outputs::stream(options)), |path| {
        sheet::of_file(path, options, &inputs, colors)
    })
}

/// An example that is ready to be set: its copy, its name in messages, and what is wrong with it.
struct Ready<'l> {
    copied: Copied<'l>,
    name: String,
    err: Printed,
    outcome: Outcome,
    strips: facsimile::Strips,
}

impl Ready<'_> {
    fn of<'l>(
        loaded: &'l Loaded,
        example: Example<'l>,
        options: &Proof,
        colors: bool,
    ) -> Result<Ready<'l>, Failure> {
        let mut copied = example.copied();
        copied.heading.file = loaded.stem();
        let name = loaded.label(example);
        let errors: Vec<Diagnostic> = loaded.errors(example, &copied.diagnostics);
        let mut err = loaded.source(&name).render(&errors, colors);
        let Proof { bars, passage, blank, .. } = options;
        if !(passage.is_whole() && blank.is_empty() || copied.lines.is_empty()) {
            let mut aligned = example.score(bars.bar.into());
            let cut = passage.cut(&mut aligned, blank);
            cut.map_err(|said| Failure::Said(format!("{name}: {said}")))?;
            copied.keep(&aligned.score);
        }
        if copied.lines.is_empty() {
            return Err(Failure::Found(err, format!("{name} has no music to print")));
        }
        if let Some(count) = count(&errors) {
            err += Printed::plain(format!("{name}: {count}; the sheet is written all the same\n"));
        }
        if !options.facsimile.is_empty() {
            // The pictures are those of one piece.
            loaded.one()?;
        }
        let (strips, said) = facsimile::printed(loaded, &copied, options)?;
        let outcome = if said.is_empty() { Outcome::of(&errors) } else { Outcome::Findings };
        err += said;
        Ok(Ready { copied, name, err, outcome, strips })
    }

    /// The strip that stands above a line, or above a system of all voices.
    fn strip(&self, voice: Option<usize>, line: u32) -> Option<Strip> {
        self.strips.get(&(voice, line)).cloned()
    }
}

/// How a sheet is set.
fn setting(options: &Proof) -> Copy {
    let clefs = match options.clefs {
        ProofClefs::Printed => CopyClefs::Printed,
        ProofClefs::Modern => CopyClefs::Modern,
    };
    Copy { clefs, ..Copy::default() }
}

/// An answer about all examples of a file, one after another; where one cannot be answered the others are all
/// the same, and the file fails.
fn all_examples(
    loaded: &Loaded,
    mut one: impl FnMut(Example<'_>) -> Result<Answer, Failure>,
) -> Result<Answer, Failure> {
    let mut all =
        Answer { out: Printed::default(), err: Printed::default(), outcome: Outcome::Done };
    let (mut count, mut failed) = (0, None);
    for example in loaded.examples() {
        count += 1;
        match one(example) {
            Ok(answer) => {
                all.out += answer.out;
                all.err += answer.err;
                all.outcome = all.outcome.max(answer.outcome);
            }
            Err(Failure::Closed) => return Err(Failure::Closed),
            Err(failure) if count == 1 && loaded.examples().nth(1).is_none() => {
                return Err(failure);
            }
            Err(failure) => {
                all.err += failure.printed();
                failed = Some(failed.unwrap_or(0) + 1);
            }
        }
    }
    match failed {
        None => Ok(all),
        Some(failed) => {
            let said = format!("{}: {failed} of {count} examples failed", loaded.name);
            Err(Failure::Found(all.err, said))
        }
    }
}
