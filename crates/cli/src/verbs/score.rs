//! `score`: the score, of one kind or several.

use std::path::Path;

use exchange::write_musicxml;
use score::{Arrangement, Options, Reduction, arrange};

use crate::Outcome;
use crate::arguments::{Kind, Reduce, Score, Staves};
use crate::files::{self, Failure, is_stream};
use crate::piece::Loaded;
use crate::report::count;

pub(crate) fn run(options: &Score, colors: bool) -> Result<Outcome, Failure> {
    let kinds: Vec<Kind> =
        options.output.iter().map(|path| kind(path, options.kind)).collect::<Result<_, _>>()?;
    let arranging = arranging(options)?;
    let loaded = Loaded::read(&options.file)?;
    let aligned = loaded.align(options.bars.bar.into());
    let errors: Vec<_> = aligned.diagnostics.iter().filter(|d| d.is_error()).cloned().collect();
    eprint!("{}", loaded.source().render(&errors, colors));
    if aligned.score.voices.is_empty() {
        return Err(Failure::Said(format!("{} has no music to lay out", loaded.name)));
    }
    let arrangement = arrange(&aligned.score, arranging);
    for (path, kind) in options.output.iter().zip(kinds) {
        files::write(path, &written(&arrangement, kind))?;
    }
    if let Some(count) = count(&errors) {
        eprintln!("{}: {count}; the score is written all the same", loaded.name);
        return Ok(Outcome::Findings);
    }
    Ok(Outcome::Done)
}

fn arranging(options: &Score) -> Result<Options, Failure> {
    Ok(Options {
        staves: match options.staves {
            Staves::Keyboard => score::Staves::Keyboard,
            Staves::Open => score::Staves::Open,
        },
        reduction: match options.reduce {
            Reduce::Original => Reduction::Original,
            Reduce::Halved => Reduction::Halved,
            Reduce::Quartered => Reduction::Quartered,
        },
        transpose: options.interval().map_err(Failure::Said)?,
        reach: options.reach,
    })
}

/// The kind of an output: by its ending, or as said for standard output.
fn kind(path: &Path, said: Option<Kind>) -> Result<Kind, Failure> {
    if is_stream(path) {
        return said.ok_or_else(|| {
            Failure::Said("say what goes to standard output: --as musicxml".to_owned())
        });
    }
    match path.extension().and_then(|ending| ending.to_str()) {
        Some("musicxml") => Ok(Kind::Musicxml),
        _ => Err(Failure::Said(format!(
            "what kind of score is {}? Its name should end in .musicxml",
            path.display()
        ))),
    }
}

fn written(arrangement: &Arrangement<'_>, kind: Kind) -> Vec<u8> {
    match kind {
        Kind::Musicxml => write_musicxml(arrangement).into_bytes(),
    }
}
