//! `score F… -o book.pdf`: many pieces, one after another, in one PDF.

use std::path::PathBuf;

use cartella::{Book, Options, Picture, pages};
use rayon::prelude::*;

use crate::Outcome;
use crate::arguments::Score;
use crate::files::{self, Failure, Inputs, is_standard_output};
use crate::many::Answer;
use crate::paper::OnPaper;
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::streams::{self, Stream, say};
use crate::verbs::pictures::{of_book, written};
use crate::verbs::ready::Ready;

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
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(options.many.jobs.map_or(0, usize::from))
        .build()
        .map_err(|error| Failure::Said(error.to_string()))?;
    let of_file = |path: &PathBuf| pieces(&Loaded::read(path)?, options, arranging, colors);
    let files = in_order(&options.files);
    let files: Vec<Result<Vec<Piece>, Failure>> =
        pool.install(|| files.par_iter().map(of_file).collect());
    let mut all = Vec::with_capacity(files.len());
    for pieces in files {
        let pieces = pieces?;
        say(&said(&pieces));
        all.extend(pieces);
    }
    let answer = bind(all, options)?;
    let to = Stream::beside(options.output.iter().any(|out| is_standard_output(out)));
    streams::answer(to, &answer.out)?;
    Ok(answer.outcome)
}

/// The files as they follow one another: as they were typed; but in the order in which a shell lists them, number 10
/// stands before 2, which nobody means.
fn in_order(files: &[PathBuf]) -> Vec<PathBuf> {
    let mut files = files.to_vec();
    if files.is_sorted() {
        files.sort_by(|one, two| {
            catalogue::natural_order(&one.to_string_lossy(), &two.to_string_lossy())
        });
    }
    files
}

/// The same with the examples of one file.
pub(crate) fn write_examples(
    loaded: &Loaded,
    options: &Score,
    arranging: Options,
    colors: bool,
) -> Result<Answer, Failure> {
    let pieces = pieces(loaded, options, arranging, colors)?;
    let err = said(&pieces);
    Ok(Answer { err, ..bind(pieces, options)? })
}

/// The pieces of a file.
fn pieces(
    loaded: &Loaded,
    options: &Score,
    arranging: Options,
    colors: bool,
) -> Result<Vec<Piece>, Failure> {
    let paper = options.paper.paper();
    let piece = |example| -> Result<Piece, Failure> {
        let ready = Ready::of(loaded, example, options, colors)?;
        let arranged = ready.aligned.arrangement(arranging);
        let (picture, said) = of_book(&arranged, options, &paper, &ready.name);
        let report = ready
            .report
            .map_or_else(Printed::default, |report| Printed::plain(report.text() + "\n"));
        Ok(Piece { picture, report, err: ready.err + said, outcome: ready.outcome })
    };
    loaded.examples().map(piece).collect()
}

/// What there is to say of some pieces.
fn said(pieces: &[Piece]) -> Printed {
    pieces.iter().fold(Printed::default(), |said, piece| said + piece.err.clone())
}

/// Writes the book; its answer is the reports.
fn bind(pieces: Vec<Piece>, options: &Score) -> Result<Answer, Failure> {
    let mut pictures = Vec::with_capacity(pieces.len());
    let (mut out, mut outcome) = (Printed::default(), Outcome::Done);
    for piece in pieces {
        outcome = outcome.max(piece.outcome);
        pictures.push(piece.picture);
        out += piece.report;
    }
    write_pieces(pictures, options.paper, &options.output, &options.files)?;
    Ok(Answer { out, err: Printed::default(), outcome })
}

/// Writes pieces as one book, in each of the outputs; none may be one of the files it is made of.
pub(super) fn write_pieces(
    pieces: Vec<Picture>,
    paper: OnPaper,
    outputs: &[PathBuf],
    files: &[PathBuf],
) -> Result<(), Failure> {
    let book =
        if paper.is_cropped() { Book::of_pictures(pieces) } else { pages(pieces, &paper.paper()) };
    let inputs = Inputs::of(files);
    outputs.iter().try_for_each(|out| files::write(out, &written(&book, out)?, &inputs))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_of_files_count_by_their_value() {
        let ordered = |names: &[&str]| {
            let files: Vec<PathBuf> = names.iter().map(PathBuf::from).collect();
            let files = in_order(&files);
            files.iter().map(|file| file.display().to_string()).collect::<Vec<_>>()
        };
        assert_eq!(
            ordered(&["1.parts", "10.parts", "2.parts"]),
            ["1.parts", "2.parts", "10.parts"]
        );
        // An order of one's own stays.
        assert_eq!(
            ordered(&["2.parts", "10.parts", "1.parts"]),
            ["2.parts", "10.parts", "1.parts"]
        );
    }
}
