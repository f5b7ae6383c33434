//! Where sheets go, and of what kind they are.

use std::path::{Path, PathBuf};

use clap::ValueEnum as _;

use crate::arguments::{Format, Proof, SheetKind};
use crate::files::{self, Failure, Inputs, is_standard_output, shown};
use crate::kind::Kind;
use crate::streams::Stream;
use crate::verbs::score::{WithAdded as _, check_names, check_pages, make_folder, stem};

const ENDINGS: &str = ".pdf, .svg or .png";

impl From<SheetKind> for Kind {
    fn from(kind: SheetKind) -> Kind {
        match kind {
            SheetKind::Pdf => Kind::Pdf,
            SheetKind::Svg => Kind::Svg,
            SheetKind::Png => Kind::Png,
        }
    }
}

/// Whether several files become one.
pub(super) fn is_book(options: &Proof) -> bool {
    options.files.len() > 1 && options.into.is_none()
}

/// Where answers go that are no sheets.
pub(super) fn stream(options: &Proof) -> Stream {
    Stream::beside(options.output.iter().any(|path| is_standard_output(path)))
}

/// The kind of an output: by its ending, or as said for standard output.
fn kind(path: &Path, said: &[SheetKind]) -> Result<Kind, Failure> {
    if is_standard_output(path) {
        return match said {
            [kind] => Ok((*kind).into()),
            _ => {
                Err(Failure::Said("name the kind of file for standard output: --as pdf".to_owned()))
            }
        };
    }
    let ending = path.extension().and_then(|ending| ending.to_str());
    let kind = ending.and_then(|ending| SheetKind::from_str(ending, true).ok());
    kind.map(Kind::from).ok_or_else(|| {
        Failure::Said(format!(
            "what kind of file is {}? The name of a proof sheet ends in {ENDINGS}",
            shown(path)
        ))
    })
}

/// The kinds that are written.
pub(super) fn kinds(options: &Proof) -> Result<Vec<Kind>, Failure> {
    if options.into.is_some() {
        return Ok(options.kind.iter().map(|kind| (*kind).into()).collect());
    }
    options.output.iter().map(|path| kind(path, &options.kind)).collect()
}

/// What would go wrong with every file is said before the first is read.
pub(super) fn check(options: &Proof) -> Result<(), Failure> {
    let said = |said: &str| Err(Failure::Said(said.to_owned()));
    if options.format == Format::Json {
        return said("--format is for --tally: add it, or leave --format out");
    }
    let kinds = kinds(options)?;
    options
        .paper
        .check(options.width.is_some(), &kinds)
        .map_err(|said| Failure::Said(said.to_owned()))?;
    let Some(folder) = &options.into else {
        if options.output.is_empty() && !options.audit {
            return Err(Failure::Said(format!(
                "say which sheet to write: -o NAME.pdf, or another name that ends in {ENDINGS}; for \
                 many files, --into DIR --as pdf"
            )));
        }
        check_pages(&options.output, &kinds, options.paper)?;
        if is_book(options) {
            check_book(options, "files")?;
        }
        files::check_distinct(&options.output)?;
        let inputs = Inputs::of(&options.files);
        return options.output.iter().try_for_each(|path| inputs.refuse(path));
    };
    if kinds.is_empty() {
        return said("name the kind of file for the folder: --as pdf");
    }
    check_names(&options.files)?;
    make_folder(folder)
}

/// Only a PDF holds several pieces.
pub(super) fn check_book(options: &Proof, what: &str) -> Result<(), Failure> {
    if options.audit {
        let said = "--audit looks at one piece at a time: name one file or example";
        return Err(Failure::Said(said.to_owned()));
    }
    if kinds(options)?.iter().any(|kind| *kind != Kind::Pdf) {
        return Err(Failure::Said(format!(
            "several {what} go into a folder: --into DIR --as svg; only a PDF holds several pieces: \
             -o book.pdf"
        )));
    }
    Ok(())
}

/// Where the sheets of an example go.
pub(super) fn of_example(
    path: &Path,
    example: Option<&str>,
    options: &Proof,
) -> Result<Vec<(PathBuf, Kind)>, Failure> {
    let Some(folder) = &options.into else {
        return Ok(options.output.iter().cloned().zip(kinds(options)?).collect());
    };
    let mut stem = folder.join(stem(path)).into_os_string();
    if let Some(example) = example {
        stem.push("-");
        stem.push(example);
    }
    let stem = PathBuf::from(stem);
    let named = |kind: Kind| (stem.clone().with_added(kind.ending()), kind);
    Ok(kinds(options)?.into_iter().map(named).collect())
}
