//! `score F… -o book.pdf`: many pieces, one after another, in one PDF.

use std::path::Path;

use cartella::{Options, Picture, pages};
use rayon::prelude::*;

use crate::Outcome;
use crate::arguments::Score;
use crate::files::{self, Failure, Inputs, is_standard_output};
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::streams::{self, Stream, say};
use crate::verbs::pictures::{of_book, written};
use crate::verbs::score::Ready;

/// A piece of the book.
struct Piece {
    picture: Picture,
    /// Its critical report, if that was asked for.
    report: Printed,
    /// What there is to say of it.
    err: Printed,
    outcome: Outcome,
}

/// Sets all pieces, on all cores, and writes them to each of the outputs. A piece that cannot be
/// set leaves the book unwritten.
pub(crate) fn write(options: &Score, arranging: Options, colors: bool) -> Result<Outcome, Failure> {
    let paper = options.paper.paper();
    let piece = |path: &Path| -> Result<Piece, Failure> {
        let loaded = Loaded::read(path)?;
        let ready = Ready::of(&loaded, options, colors)?;
        let arranged = ready.aligned.arrangement(arranging);
        let (picture, said) = of_book(&arranged, options, &paper, &loaded.name);
        let report = if options.report {
            Printed::plain(ready.aligned.report().text() + "\n")
        } else {
            Printed::default()
        };
        Ok(Piece { picture, report, err: ready.err + said, outcome: ready.outcome })
    };
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(options.many.jobs.map_or(0, usize::from))
        .build()
        .map_err(|error| Failure::Said(error.to_string()))?;
    let pieces: Vec<Result<Piece, Failure>> =
        pool.install(|| options.files.par_iter().map(|path| piece(path)).collect());
    let mut pictures = Vec::with_capacity(pieces.len());
    let (mut reports, mut outcome) = (Printed::default(), Outcome::Done);
    for piece in pieces {
        let piece = piece?;
        say(&piece.err);
        outcome = outcome.max(piece.outcome);
        pictures.push(piece.picture);
        reports += piece.report;
    }
    let book = pages(pictures, &paper);
    let inputs = Inputs::of(&options.files);
    for out in &options.output {
        files::write(out, &written(&book, out)?, &inputs)?;
    }
    let to = Stream::beside(options.output.iter().any(|out| is_standard_output(out)));
    streams::answer(to, &reports)?;
    Ok(outcome)
}
