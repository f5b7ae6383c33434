//! `score`: the score, of one kind or several, of one file or many.

use std::cell::LazyCell;
use std::collections::HashSet;
use std::ffi::OsStr;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use cartella::{Example, Options, Reduction};

use crate::Outcome;
use crate::arguments::{Clefs, Reduce, Rests, Score, Staves, Stems};
use crate::files::{self, Failure, Inputs, is_standard_output, is_stream, shown};
use crate::instrument::Said;
use crate::kind::Kind;
use crate::many::{Answer, Frame, each};
use crate::paper::OnPaper;
use crate::piece::Loaded;
use crate::printed::Printed;
use crate::streams::Stream;
use crate::verbs::pictures::Pictures;
use crate::verbs::ready::Ready;
use crate::verbs::{audit, book as pieces, heard, leaves, timing};
use crate::watch;

pub(crate) fn run(options: &Score, colors: bool) -> Result<Outcome, Failure> {
    let arranging = arranging(options)?;
    check_outputs(options)?;
    let write = |paths: &[PathBuf]| {
        if is_book(options) {
            // Whichever piece has changed, the whole book is written again.
            return pieces::write(options, arranging, colors);
        }
        let to = Stream::beside(all_outputs(options).any(|path| is_standard_output(path)));
        let run = Run { options, arranging, inputs: &Inputs::of(&options.files), colors };
        let written = Mutex::default();
        each(paths, options.many.jobs, &Frame::none(to), |path| run.file(path, &written))
    };
    if options.watch { watch::again(&options.files, write) } else { write(&options.files) }
}

/// All files that are named to be written.
fn all_outputs(options: &Score) -> impl Iterator<Item = &PathBuf> {
    options.output.iter().chain(&options.sounding.timing)
}

/// Whether several files become one.
fn is_book(options: &Score) -> bool {
    options.files.len() > 1 && options.into.is_none()
}

/// What would go wrong with every file is said before the first is read.
fn check_outputs(options: &Score) -> Result<(), Failure> {
    let Some(folder) = &options.into else {
        if all_outputs(options).next().is_none() && !options.audit {
            let endings = Kind::endings();
            return Err(Failure::Said(format!(
                "say which score to write: -o NAME.musicxml, or another name that ends in {endings}; \
                 for many files, --into DIR --as musicxml"
            )));
        }
        let kinds = options.output.iter().map(|path| kind(path, &options.kind));
        let kinds: Vec<Kind> = kinds.collect::<Result<_, _>>()?;
        check_paper(options, &kinds)?;
        check_sound(options, &kinds)?;
        check_pages(&options.output, &kinds, options.paper)?;
        if is_book(options) {
            check_book(options, &kinds, "files")?;
        }
        let outputs: Vec<PathBuf> = all_outputs(options).cloned().collect();
        files::check_distinct(&outputs)?;
        let inputs = Inputs::of(&options.files);
        return outputs.iter().try_for_each(|path| inputs.refuse(path));
    };
    if options.kind.is_empty() {
        let said = "name the kind of file for the folder: --as musicxml; for several kinds, --as pdf --as mid";
        return Err(Failure::Said(said.to_owned()));
    }
    check_paper(options, &options.kind)?;
    check_sound(options, &options.kind)?;
    if let Some(kind) = options
        .kind
        .iter()
        .enumerate()
        .find_map(|(place, kind)| options.kind[..place].contains(kind).then(|| kind.ending()))
    {
        return Err(Failure::Said(format!(
            "two outputs would be one file: --as {kind} stands twice"
        )));
    }
    check_names(&options.files)?;
    make_folder(folder)
}

/// Pages are files of their own, so standard output takes them only as a PDF.
pub(super) fn check_pages(
    outputs: &[PathBuf],
    kinds: &[Kind],
    paper: OnPaper,
) -> Result<(), Failure> {
    let divides = |kind: Kind| kind != Kind::Pdf && paper.divides(kind);
    let mut streams = outputs.iter().zip(kinds).filter(|(path, _)| is_standard_output(path));
    if streams.next().is_some_and(|(_, kind)| divides(*kind)) {
        let said = "pages are a file each, so they need a name: -o duo.svg; or all of them go \
                    to standard output as one PDF: --as pdf";
        return Err(Failure::Said(said.to_owned()));
    }
    Ok(())
}

/// In a folder, what is made of a file has its name; so two files may not have the same.
pub(super) fn check_names(files: &[PathBuf]) -> Result<(), Failure> {
    let mut names = HashSet::new();
    let is_taken = |path: &&PathBuf| {
        let (path, example) = files::parted(path);
        !names.insert((stem(&path).to_owned(), example))
    };
    files.iter().find(is_taken).map_or(Ok(()), |path| {
        Err(Failure::Said(format!(
            "two files would become one: another has the name of {}",
            shown(path)
        )))
    })
}

/// The folder for many scores, in one that is there.
pub(super) fn make_folder(folder: &Path) -> Result<(), Failure> {
    if folder.is_dir() {
        return Ok(());
    }
    std::fs::create_dir(folder).map_err(|error| {
        Failure::Said(match error.kind() {
            ErrorKind::AlreadyExists => format!("{} is not a folder", shown(folder)),
            ErrorKind::NotFound => {
                let within = shown(folder.parent().unwrap_or(Path::new(".")));
                format!("cannot make the folder {}: there is no {within}", shown(folder))
            }
            _ => format!("cannot make the folder {}: {error}", shown(folder)),
        })
    })
}

fn check_paper(options: &Score, kinds: &[Kind]) -> Result<(), Failure> {
    let checked = options
        .paper
        .check(options.drawing.width.is_some(), kinds)
        .and_then(|()| options.filling.check(options.paper, kinds));
    checked.map_err(|said| Failure::Said(said.to_owned()))?;
    if options.passage.has_bars() && options.filling.always_has_incipits() {
        let said = "--incipits always shows how the source begins, and --bars may begin elsewhere: \
                    leave out one of them";
        return Err(Failure::Said(said.to_owned()));
    }
    Ok(())
}

fn check_sound(options: &Score, kinds: &[Kind]) -> Result<(), Failure> {
    let checked = options.sounding.check(kinds).and_then(|()| options.instrument.check(kinds));
    checked.map_err(|said| Failure::Said(said.to_owned()))
}

/// Only a PDF holds several pieces.
fn check_book(options: &Score, kinds: &[Kind], what: &str) -> Result<(), Failure> {
    if options.sounding.timing.is_some() {
        let said = "--timing gives the times of one piece: name one file, or one example, \
                    as in examples.parts#2";
        return Err(Failure::Said(said.to_owned()));
    }
    if kinds.is_empty() {
        let said = "--audit looks at one piece at a time: name one file";
        return Err(Failure::Said(said.to_owned()));
    }
    if kinds.iter().any(|kind| *kind != Kind::Pdf) {
        return Err(Failure::Said(format!(
            "several {what} go into a folder: --into DIR --as musicxml; only a PDF holds several \
             pieces: -o book.pdf"
        )));
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
            Staves::Keyboard => cartella::Staves::Keyboard,
            Staves::Open => cartella::Staves::Open,
        },
        reduction: match options.reduce {
            Reduce::Original => Reduction::Original,
            Reduce::Halved => Reduction::Halved,
            Reduce::Quartered => Reduction::Quartered,
        },
        transpose: options.interval().map_err(Failure::Said)?,
        reach: options.reach,
        stems: match options.stems {
            Stems::Pitch => cartella::Stems::Pitch,
            Stems::Voice => cartella::Stems::Voice,
        },
        rests: match options.rests {
            Rests::Needed => cartella::Rests::Needed,
            Rests::All => cartella::Rests::All,
        },
        clefs: match options.clefs {
            Clefs::Fitting => cartella::Clefs::Fitting,
            Clefs::Fixed => cartella::Clefs::Fixed,
        },
    })
}

/// The kind of an output: by its ending, or as said for standard output.
fn kind(path: &Path, said: &[Kind]) -> Result<Kind, Failure> {
    if is_standard_output(path) {
        return match said {
            [kind] => Ok(*kind),
            _ => Err(Failure::Said(
                "name the kind of file for standard output: --as musicxml".to_owned(),
            )),
        };
    }
    Kind::of(path).ok_or_else(|| {
        Failure::Said(format!(
            "what kind of file is {}? Its name should end in {}",
            shown(path),
            Kind::endings()
        ))
    })
}

/// Where the scores of an example go.
fn outputs(
    path: &Path,
    example: Option<&str>,
    options: &Score,
) -> Result<Vec<(PathBuf, Kind)>, Failure> {
    match &options.into {
        None => {
            let with_kind = |out: &PathBuf| Ok((out.clone(), kind(out, &options.kind)?));
            options.output.iter().map(with_kind).collect()
        }
        Some(folder) => {
            let kinds = options.kind.iter();
            let mut stem = folder.join(stem(path)).into_os_string();
            if let Some(example) = example {
                stem.push("-");
                stem.push(example);
            }
            let stem = PathBuf::from(stem);
            Ok(kinds.map(|kind| (stem.clone().with_added(kind.ending()), *kind)).collect())
        }
    }
}

/// The name of a file's scores in a folder.
pub(super) fn stem(path: &Path) -> &OsStr {
    let path = if is_stream(path) { Path::new("score") } else { path };
    path.file_stem().unwrap_or_default()
}

/// A run over many files.
struct Run<'r> {
    options: &'r Score,
    arranging: Options,
    inputs: &'r Inputs,
    colors: bool,
}

impl Run<'_> {
    /// Writes the scores of a file, whose examples are one or many. Where one cannot be written the
    /// others are all the same, and the file fails.
    fn file(&self, path: &Path, written: &Mutex<HashSet<PathBuf>>) -> Result<Answer, Failure> {
        let loaded = Loaded::read(path)?;
        let options = self.options;
        let examples: Vec<Example<'_>> = loaded.examples().collect();
        if let [one] = examples.as_slice() {
            return self.example(&loaded, *one, written);
        }
        if options.into.is_none() && all_outputs(options).next().is_some() {
            let kinds = options.output.iter().map(|path| kind(path, &options.kind));
            check_book(options, &kinds.collect::<Result<Vec<Kind>, _>>()?, "examples")?;
            return pieces::write_examples(&loaded, options, self.arranging, self.colors);
        }
        let mut all =
            Answer { out: Printed::default(), err: Printed::default(), outcome: Outcome::Done };
        let mut failed = 0;
        for example in &examples {
            match self.example(&loaded, *example, written) {
                Ok(answer) => {
                    all.out += answer.out;
                    all.err += answer.err;
                    all.outcome = all.outcome.max(answer.outcome);
                }
                Err(Failure::Closed) => return Err(Failure::Closed),
                Err(failure) => {
                    all.err += failure.printed();
                    failed += 1;
                }
            }
        }
        if failed > 0 {
            let said = format!("{}: {failed} of {} examples failed", loaded.name, examples.len());
            return Err(Failure::Found(all.err, said));
        }
        Ok(all)
    }

    fn example(
        &self,
        loaded: &Loaded,
        example: Example<'_>,
        already: &Mutex<HashSet<PathBuf>>,
    ) -> Result<Answer, Failure> {
        let options = self.options;
        let ready = Ready::of(loaded, example, options, self.colors)?;
        let arranged = ready.aligned.arrangement(self.arranging);
        let performance = LazyCell::new(|| arranged.performance(&ready.playing));
        let pictures = Pictures::new(&arranged, options, &ready.name);
        let outputs = outputs(&loaded.path, example.name(), options)?;
        let mut removed = Printed::default();
        let tuning = options.instrument.tuning();
        let is_new = |path: &PathBuf| {
            let mut already = already.lock().unwrap_or_else(PoisonError::into_inner);
            if options.into.is_some() && !already.insert(path.clone()) {
                let said = format!("two examples would become one file: {}", shown(path));
                return Err(Failure::Said(said));
            }
            Ok(())
        };
        for (out, kind) in &outputs {
            let written = match kind {
                Kind::Svg => pictures.svg(out),
                Kind::Png => pictures.png(out),
                Kind::Pdf => pictures.pdf(out),
                Kind::Musicxml => ready.file(out, arranged.musicxml().map(String::into_bytes)),
                Kind::Mxl => ready.file(out, arranged.mxl()),
                Kind::Html => {
                    let name = figure_name(loaded, example);
                    let page = book::figure_page(
                        &ready.aligned,
                        self.arranging,
                        &name,
                        book::Language::default(),
                    );
                    Ok(vec![(out.clone(), page.into_bytes())])
                }
                Kind::Mid => {
                    let said = options.instrument.said();
                    ready.file(out, heard::midi(&arranged, &performance, &tuning, said))
                }
                Kind::Wav | Kind::Flac => {
                    is_new(out)?;
                    let rendering = options.instrument.rendering();
                    heard::write(out, *kind, &performance, &rendering, self.inputs)?;
                    continue;
                }
            }?;
            for (path, bytes) in &written {
                is_new(path)?;
                files::write(path, bytes, self.inputs)?;
            }
            if *kind != Kind::Pdf && options.paper.divides(*kind) {
                removed += leaves::remove_after(written.len(), out)?;
            }
        }
        let kinds: Vec<Kind> = outputs.iter().map(|(_, kind)| *kind).collect();
        let pages = || pictures.pages(options.paper.divides_any(&kinds));
        let is_tuned = |kind: &Kind| match kind {
            Kind::Mid => options.instrument.said() != Said::None,
            kind => kind.is_sound(),
        };
        let lapses = if kinds.iter().any(is_tuned) {
            heard::lapses(&tuning, &performance, &ready.name)
        } else {
            Printed::default()
        };
        let score = &ready.aligned.score;
        if let Some(path) = &options.sounding.timing {
            let source = loaded.source(&ready.name);
            let times = timing::answer(pages(), score, &performance, &source);
            files::write(path, times.as_bytes(), self.inputs)?;
        }
        let out = if options.audit {
            audit::answer(pages(), score)
        } else {
            ready.report.as_ref().map_or_else(Printed::default, |one| Printed::plain(one.text()))
        };
        Ok(Answer {
            out,
            err: ready.err + pictures.said() + lapses + removed,
            outcome: ready.outcome,
        })
    }
}

/// The name of an example in an address, which stays whatever is printed over it: that of its file, and its own.
fn figure_name(loaded: &Loaded, example: Example<'_>) -> String {
    let name = [loaded.stem(), example.name().map(str::to_owned)];
    let name: Vec<String> = name.into_iter().flatten().collect();
    if name.is_empty() { "score".to_owned() } else { name.join(" ") }
}

/// A path with an ending after its whole name, dots in the name included.
pub(super) trait WithAdded {
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
