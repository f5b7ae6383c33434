//! `score`: the score, of one kind or several, of one file or many.

use std::collections::HashSet;
use std::path::{Path, PathBuf};

use engrave::{engrave, svg};
use exchange::{write_midi, write_musicxml, write_mxl};
use score::{Arrangement, Options, Reduction, arrange};

use crate::Outcome;
use crate::arguments::{Kind, Reduce, Score, Staves};
use crate::files::{self, Failure, is_stream};
use crate::many::{Answer, each};
use crate::piece::Loaded;
use crate::report::count;
use crate::verbs::audit;
use crate::watch;

pub(crate) fn run(options: &Score, colors: bool) -> Result<Outcome, Failure> {
    let arranging = arranging(options)?;
    check_outputs(options)?;
    let write = |paths: &[PathBuf]| {
        each(paths, options.many.jobs, "", |path| write_file(path, options, arranging, colors))
    };
    if options.watch { watch::again(&options.files, write) } else { write(&options.files) }
}

/// What would go wrong with every file is said before the first is read.
fn check_outputs(options: &Score) -> Result<(), Failure> {
    let Some(folder) = &options.into else {
        for path in &options.output {
            kind(path, &options.kind)?;
        }
        if options.files.len() > 1 {
            let said = "several files go into a folder: --into DIR --as musicxml";
            return Err(Failure::Said(said.to_owned()));
        }
        return Ok(());
    };
    if !folder.is_dir() {
        return Err(Failure::Said(format!("{} is no folder", folder.display())));
    }
    let mut names = HashSet::new();
    match options.files.iter().find(|path| !names.insert(path.file_stem())) {
        Some(path) => Err(Failure::Said(format!(
            "two files would become one: another has the name of {}",
            path.display()
        ))),
        None => Ok(()),
    }
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
            "what kind of score is {}? Its name should end in .musicxml, .mxl, .svg or .mid",
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

fn write_file(
    path: &Path,
    options: &Score,
    arranging: Options,
    colors: bool,
) -> Result<Answer, Failure> {
    let loaded = Loaded::read(path)?;
    let aligned = loaded.align(options.bars.bar.into());
    let errors: Vec<_> = aligned.diagnostics.iter().filter(|d| d.is_error()).cloned().collect();
    let mut err = loaded.source().render(&errors, colors);
    if aligned.score.voices.is_empty() {
        return Err(Failure::Said(format!("{err}{} has no music to lay out", loaded.name)));
    }
    let arrangement = arrange(&aligned.score, arranging);
    for (out, kind) in outputs(path, options)? {
        files::write(&out, &written(&arrangement, options, kind, &loaded)?)?;
    }
    let out = if options.audit {
        audit::answer(&engrave(&arrangement, &options.drawing.look()), &aligned.score)
    } else {
        String::new()
    };
    let outcome = match count(&errors) {
        None => Outcome::Done,
        Some(count) => {
            err.push_str(&format!("{}: {count}; the score is written all the same\n", loaded.name));
            Outcome::Findings
        }
    };
    Ok(Answer { out, err, outcome })
}

fn written(
    arrangement: &Arrangement<'_>,
    options: &Score,
    kind: Kind,
    loaded: &Loaded,
) -> Result<Vec<u8>, Failure> {
    match kind {
        Kind::Musicxml => Ok(write_musicxml(arrangement).into_bytes()),
        Kind::Mxl => Ok(write_mxl(&write_musicxml(arrangement))),
        Kind::Svg => {
            let picture = engrave(arrangement, &options.drawing.look());
            let source = loaded.source();
            Ok(svg(&picture, &|span| source.place(span).0).into_bytes())
        }
        Kind::Mid => write_midi(arrangement.score, arrangement.options.transpose)
            .map_err(|error| Failure::Said(format!("{}: {error}", loaded.name))),
    }
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
