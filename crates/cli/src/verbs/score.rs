//! `score`: the score, of one kind or several, of one file or many.

use std::collections::HashSet;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use exchange::{write_midi, write_musicxml, write_mxl};
use score::{Arrangement, Options, Reduction, arrange};

use crate::Outcome;
use crate::arguments::{Kind, Reduce, Score, Staves};
use crate::files::{self, Failure, is_stream};
use crate::many::{Answer, each};
use crate::piece::Loaded;
use crate::report::count;
use crate::verbs::pictures::Pictures;
use crate::verbs::{audit, book};
use crate::watch;

pub(crate) fn run(options: &Score, colors: bool) -> Result<Outcome, Failure> {
    let arranging = arranging(options)?;
    check_outputs(options)?;
    let write = |paths: &[PathBuf]| {
        if is_book(options) {
            // Whichever piece has changed, the whole book is written again.
            return book::write(options, arranging, colors);
        }
        each(paths, options.many.jobs, "", |path| write_file(path, options, arranging, colors))
    };
    if options.watch { watch::again(&options.files, write) } else { write(&options.files) }
}

/// Whether several files become one.
fn is_book(options: &Score) -> bool {
    options.files.len() > 1 && options.into.is_none()
}

/// What would go wrong with every file is said before the first is read.
fn check_outputs(options: &Score) -> Result<(), Failure> {
    if options.report && options.output.iter().any(|path| is_stream(path)) {
        let said = "the score and the report would both go to standard output: write the score to a \
                    file, -o NAME.musicxml";
        return Err(Failure::Said(said.to_owned()));
    }
    let Some(folder) = &options.into else {
        if options.output.is_empty() && !options.audit {
            let said = "say which score to write: -o NAME.musicxml, or .pdf .svg .png .mxl .mid; for \
                        many files, --into DIR --as musicxml";
            return Err(Failure::Said(said.to_owned()));
        }
        let kinds = options.output.iter().map(|path| kind(path, &options.kind));
        let kinds: Vec<Kind> = kinds.collect::<Result<_, _>>()?;
        check_paper(options, &kinds)?;
        let stream = options.output.iter().zip(&kinds).find(|(path, _)| is_stream(path));
        if let Some((_, kind)) = stream
            && *kind != Kind::Pdf
            && options.paper.divides(*kind)
        {
            let said = "pages are a file each, so they need a name: -o duo.svg; or all of them go \
                        to standard output as one PDF: --as pdf";
            return Err(Failure::Said(said.to_owned()));
        }
        if is_book(options) {
            check_book(options, &kinds)?;
        }
        return Ok(());
    };
    if options.kind.is_empty() {
        let said = "say what goes into the folder: --as musicxml; several kinds, --as pdf --as mid";
        return Err(Failure::Said(said.to_owned()));
    }
    check_paper(options, &options.kind)?;
    let mut names = HashSet::new();
    if let Some(path) = options.files.iter().find(|path| !names.insert(path.file_stem())) {
        return Err(Failure::Said(format!(
            "two files would become one: another has the name of {}",
            path.display()
        )));
    }
    make_folder(folder)
}

/// The folder for many scores, in one that is there.
fn make_folder(folder: &Path) -> Result<(), Failure> {
    if folder.is_dir() {
        return Ok(());
    }
    std::fs::create_dir(folder).map_err(|error| {
        Failure::Said(match error.kind() {
            ErrorKind::AlreadyExists => format!("{} is no folder", folder.display()),
            ErrorKind::NotFound => {
                let within = folder.parent().unwrap_or(Path::new(".")).display();
                format!("cannot make the folder {}: there is no {within}", folder.display())
            }
            _ => format!("cannot make the folder {}: {error}", folder.display()),
        })
    })
}

fn check_paper(options: &Score, kinds: &[Kind]) -> Result<(), Failure> {
    let checked = options.paper.check(options.drawing.width.is_some(), kinds);
    checked.map_err(|said| Failure::Said(said.to_owned()))
}

/// Only a PDF holds several pieces.
fn check_book(options: &Score, kinds: &[Kind]) -> Result<(), Failure> {
    if kinds.is_empty() {
        let said = "--audit looks at one piece at a time: name one file";
        return Err(Failure::Said(said.to_owned()));
    }
    if kinds.iter().any(|kind| *kind != Kind::Pdf) {
        let said = "several files go into a folder: --into DIR --as musicxml; only a PDF holds \
                    several pieces: -o book.pdf";
        return Err(Failure::Said(said.to_owned()));
    }
    if options.audit {
        let said = "--audit looks at one piece at a time: leave it out for a book";
        return Err(Failure::Said(said.to_owned()));
    }
    Ok(())
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
fn kind(path: &Path, said: &[Kind]) -> Result<Kind, Failure> {
    if is_stream(path) {
        return match said {
            [kind] => Ok(*kind),
            _ => Err(Failure::Said("say what goes to standard output: --as musicxml".to_owned())),
        };
    }
    Kind::of(path).ok_or_else(|| {
        Failure::Said(format!(
            "what kind of score is {}? Its name should end in .musicxml, .mxl, .svg, .pdf, .png or \
             .mid",
            path.display()
        ))
    })
}

/// Where the scores of a file go.
fn outputs(path: &Path, options: &Score) -> Result<Vec<(PathBuf, Kind)>, Failure> {
    match &options.into {
        None => {
            let with_kind = |out: &PathBuf| Ok((out.clone(), kind(out, &options.kind)?));
            options.output.iter().map(with_kind).collect()
        }
        Some(folder) => {
            let stem = if is_stream(path) { Path::new("score") } else { path };
            let stem = stem.file_stem().unwrap_or_default();
            let kinds = options.kind.iter();
            Ok(kinds.map(|kind| (folder.join(stem).with_added(kind.ending()), *kind)).collect())
        }
    }
}

/// A piece that is ready to be laid out.
pub(crate) struct Ready {
    pub(crate) loaded: Loaded,
    pub(crate) score: score::Score,
    /// The errors in it, for people.
    pub(crate) err: String,
    pub(crate) outcome: Outcome,
}

impl Ready {
    pub(crate) fn read(path: &Path, options: &Score, colors: bool) -> Result<Ready, Failure> {
        let loaded = Loaded::read(path)?;
        let aligned = loaded.align(options.bars.bar.into());
        let errors: Vec<_> = aligned.diagnostics.iter().filter(|d| d.is_error()).cloned().collect();
        let mut err = loaded.source().render(&errors, colors);
        if aligned.score.voices.is_empty() {
            return Err(Failure::Said(format!("{err}{} has no music to lay out", loaded.name)));
        }
        let outcome = match count(&errors) {
            None => Outcome::Done,
            Some(count) => {
                let name = &loaded.name;
                err.push_str(&format!("{name}: {count}; the score is written all the same\n"));
                Outcome::Findings
            }
        };
        Ok(Ready { loaded, score: aligned.score, err, outcome })
    }
}

fn write_file(
    path: &Path,
    options: &Score,
    arranging: Options,
    colors: bool,
) -> Result<Answer, Failure> {
    let ready = Ready::read(path, options, colors)?;
    let arrangement = arrange(&ready.score, arranging);
    let pictures = Pictures::new(&arrangement, options, &ready.loaded);
    let outputs = outputs(path, options)?;
    for (out, kind) in &outputs {
        for (path, bytes) in written(&arrangement, &pictures, out, *kind, &ready.loaded)? {
            files::write(&path, &bytes)?;
        }
    }
    let out = if options.audit {
        let kinds: Vec<Kind> = outputs.iter().map(|(_, kind)| *kind).collect();
        audit::answer(pictures.pages(options.paper.divides_any(&kinds)), &ready.score)
    } else if options.report {
        score::report(&ready.loaded.parsed.piece, &ready.score).text()
    } else {
        String::new()
    };
    Ok(Answer { out, err: ready.err + &pictures.said(), outcome: ready.outcome })
}

/// The files of an output.
fn written(
    arrangement: &Arrangement<'_>,
    pictures: &Pictures<'_>,
    out: &Path,
    kind: Kind,
    loaded: &Loaded,
) -> Result<Vec<(PathBuf, Vec<u8>)>, Failure> {
    let failed = |error: &dyn std::error::Error| Failure::Said(format!("{}: {error}", loaded.name));
    let musicxml = || write_musicxml(arrangement).map_err(|error| failed(&error));
    let bytes = match kind {
        Kind::Svg | Kind::Pdf | Kind::Png => return pictures.files(out, kind),
        Kind::Musicxml => musicxml()?.into_bytes(),
        Kind::Mxl => write_mxl(&musicxml()?),
        Kind::Mid => write_midi(arrangement.score, arrangement.options.transpose)
            .map_err(|error| failed(&error))?,
    };
    Ok(vec![(out.to_owned(), bytes)])
}

/// A path with an ending after its whole name, dots in the name included.
trait WithAdded {
    fn with_added(self, ending: &str) -> PathBuf;
}

impl WithAdded for PathBuf {
    fn with_added(self, ending: &str) -> PathBuf {
        let mut name = self.into_os_string();
        name.push(".");
        name.push(ending);
        PathBuf::from(name)
    }
}
