//! Sheets drawn, and written.

use std::cell::OnceCell;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use cartella::{Book, Mm, Picture, pages, png};
use rayon::prelude::*;

use super::{Ready, all_examples, audit, outputs, setting};
use crate::Outcome;
use crate::arguments::Proof;
use crate::files::{self, Failure, Inputs};
use crate::kind::Kind;
use crate::many::Answer;
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::streams::say;
use crate::verbs::book;
use crate::verbs::leaves::{comment, mark, numbered, remove_after};
use crate::verbs::pictures::{Files, unknown, written};

/// A sheet that is drawn when it is first looked at, and once for all files.
struct Sheet<'s> {
    ready: &'s Ready<'s>,
    options: &'s Proof,
    whole: OnceCell<Picture>,
    book: OnceCell<Book>,
}

impl Sheet<'_> {
    fn whole(&self) -> &Picture {
        self.whole.get_or_init(|| {
            let (look, setting) = (self.options.look(false), setting(self.options));
            let picture = self
                .ready
                .copied
                .picture(&look, &setting, &|voice, line| self.ready.strip(voice, line));
            self.options.paper.trimmed(picture)
        })
    }

    fn book(&self) -> &Book {
        self.book.get_or_init(|| {
            if self.options.paper.is_cropped() {
                return Book::of_pictures(vec![self.whole().clone()]);
            }
            pages(vec![on_paper(self.ready, self.options)], &self.options.paper.paper())
        })
    }

    fn pages(&self, divided: bool) -> &[Picture] {
        if divided { &self.book().pages } else { std::slice::from_ref(self.whole()) }
    }

    /// The files of an output.
    fn files(&self, out: &Path, kind: Kind) -> Result<Files, Failure> {
        let paper = self.options.paper;
        if kind == Kind::Pdf {
            return Ok(vec![(out.to_owned(), written(self.book(), out)?)]);
        }
        let divided = paper.divides(kind);
        let file = |(place, page): (usize, &Picture)| {
            let number = divided.then_some(place + 1);
            let path = number.map_or_else(|| out.to_owned(), |number| numbered(out, number));
            let bytes = if kind == Kind::Svg {
                let mut svg = self.ready.copied.document().svg(page);
                svg.push_str(&number.map(comment).unwrap_or_default());
                svg.into_bytes()
            } else {
                let said = number.map(mark);
                png(page, paper.dpi(), paper.ground(), said.as_deref())
                    .map_err(|error| Failure::Said(format!("{}: {error}", self.ready.name)))?
            };
            Ok((path, bytes))
        };
        self.pages(divided).iter().enumerate().map(file).collect()
    }

    /// What is to be said of what was drawn.
    fn said(&self) -> Printed {
        let mut missing = BTreeSet::new();
        let pages = self.book.get().map_or(&[][..], |book| &book.pages);
        missing.extend(pages.iter().chain(self.whole.get()).flat_map(Picture::missing_characters));
        let drawn = pages.first().or(self.whole.get());
        let smaller = drawn.map(|picture| smaller(&self.ready.name, picture, self.options));
        smaller.unwrap_or_default() + unknown(&self.ready.name, &missing)
    }
}

/// That staves are smaller than was asked for.
fn smaller(name: &str, picture: &Picture, options: &Proof) -> Printed {
    let (staff, wanted) = (picture.staff(), options.look(true).staff);
    if staff >= wanted - Mm(0.01) {
        return Printed::default();
    }
    let staff = (staff.0 * 10.0).floor() / 10.0;
    Printed::plain(format!(
        "{name}: staves are {staff} mm high, not {}, so that the lines of the source fit\n",
        wanted.0
    ))
}

fn on_paper(ready: &Ready<'_>, options: &Proof) -> Picture {
    let (look, paper) = (options.look(true), options.paper.paper());
    ready.copied.on_paper(&look, &paper, &setting(options), &|voice, line| ready.strip(voice, line))
}

/// Writes the sheets of a file.
pub(super) fn of_file(
    path: &Path,
    options: &Proof,
    inputs: &Inputs,
    colors: bool,
) -> Result<Answer, Failure> {
    let loaded = Loaded::read(path)?;
    if options.into.is_none() && loaded.examples().nth(1).is_some() {
        outputs::check_book(options, "examples")?;
        let pieces = pieces(&loaded, options, colors)?;
        let err = pieces.iter().fold(Printed::default(), |all, piece| all + piece.err.clone());
        return Ok(Answer { err, ..bind(pieces, options)? });
    }
    all_examples(&loaded, |example| {
        let ready = Ready::of(&loaded, example, options, colors)?;
        let (whole, book) = (OnceCell::new(), OnceCell::new());
        let sheet = Sheet { ready: &ready, options, whole, book };
        let mut err = Printed::default();
        let outputs = outputs::of_example(&loaded.path, example.name(), options)?;
        for (out, kind) in &outputs {
            let written = sheet.files(out, *kind)?;
            for (path, bytes) in &written {
                files::write(path, bytes, inputs)?;
            }
            if *kind != Kind::Pdf && options.paper.divides(*kind) {
                err += remove_after(written.len(), out)?;
            }
        }
        let kinds: Vec<Kind> = outputs.iter().map(|(_, kind)| *kind).collect();
        let out = if options.audit {
            audit::answer(sheet.pages(options.paper.divides_any(&kinds)), &ready.copied)
        } else {
            Printed::default()
        };
        Ok(Answer { out, err: ready.err.clone() + sheet.said() + err, outcome: ready.outcome })
    })
}

/// A piece of a book.
struct Piece {
    picture: Picture,
    err: Printed,
    outcome: Outcome,
}

fn pieces(loaded: &Loaded, options: &Proof, colors: bool) -> Result<Vec<Piece>, Failure> {
    let piece = |example| {
        let ready = Ready::of(loaded, example, options, colors)?;
        let picture = if options.paper.is_cropped() {
            let picture =
                ready.copied.picture(&options.look(false), &setting(options), &|voice, line| {
                    ready.strip(voice, line)
                });
            options.paper.trimmed(picture)
        } else {
            on_paper(&ready, options)
        };
        let said = smaller(&ready.name, &picture, options)
            + unknown(&ready.name, &picture.missing_characters());
        Ok(Piece { picture, err: ready.err + said, outcome: ready.outcome })
    };
    loaded.examples().map(piece).collect()
}

/// Sets many files one after another, on all cores, in each of the outputs. A piece that cannot be set leaves
/// the book unwritten.
pub(super) fn book(options: &Proof, colors: bool) -> Result<Outcome, Failure> {
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(options.many.jobs.map_or(0, usize::from))
        .build()
        .map_err(|error| Failure::Said(error.to_string()))?;
    let of_file = |path: &PathBuf| pieces(&Loaded::read(path)?, options, colors);
    let files: Vec<Result<Vec<Piece>, Failure>> =
        pool.install(|| options.files.par_iter().map(of_file).collect());
    let mut all = Vec::new();
    for pieces in files {
        let pieces = pieces?;
        for piece in &pieces {
            say(&piece.err);
        }
        all.extend(pieces);
    }
    Ok(bind(all, options)?.outcome)
}

/// Writes the book.
fn bind(pieces: Vec<Piece>, options: &Proof) -> Result<Answer, Failure> {
    let outcome = pieces.iter().map(|piece| piece.outcome).max().unwrap_or(Outcome::Done);
    let pictures = pieces.into_iter().map(|piece| piece.picture).collect();
    book::write_pieces(pictures, options.paper, &options.output, &options.files)?;
    Ok(Answer { out: Printed::default(), err: Printed::default(), outcome })
}
