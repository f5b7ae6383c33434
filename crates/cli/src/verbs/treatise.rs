//! `book`: a treatise from its folder, as PDF and as a web site.

use std::collections::HashSet;
use std::path::{Path, PathBuf};

use book::{Book, FileBody, Language, Place};
use rayon::prelude::*;

use crate::Outcome;
use crate::arguments::Treatise;
use crate::files::{self, Failure, Inputs, shown};
use crate::printed::Printed;
use crate::streams::say;
use crate::verbs::score::make_folder;
use crate::watch;

/// A file of a book is no longer than this.
const LARGEST: usize = 64 << 20;

/// The folder of a site in which the files of examples stand.
const EXAMPLES: &str = "examples";

/// The text of a book that is named by its folder.
const TEXT: &str = "book.md";

pub(crate) fn run(options: &Treatise) -> Result<Outcome, Failure> {
    if options.output.is_none() && options.site.is_none() {
        let said = "say what to make of the book: -o treatise.pdf, --site DIR, or both";
        return Err(Failure::Said(said.to_owned()));
    }
    let path =
        if options.folder.is_dir() { options.folder.join(TEXT) } else { options.folder.clone() };
    if !options.watch {
        return made(&path, options).map(|(outcome, _)| outcome);
    }
    watch::all(|| made(&path, options))
}

/// Writes the site: files that are as they were stay as they are, so that a browser need not load them again, and sound
/// is not made again.
fn write_site(book: &Book, site: &Path, sound: bool, inputs: &Inputs) -> Result<(), Failure> {
    make_folder(site)?;
    let files = book.site(sound).map_err(|error| Failure::Said(error.to_string()))?;
    if files.iter().any(|file| file.path.starts_with(EXAMPLES)) {
        make_folder(&site.join(EXAMPLES))?;
    }
    let mut changed = HashSet::new();
    let mut recordings = Vec::new();
    for file in &files {
        match &file.body {
            FileBody::Bytes(bytes) => {
                let path = site.join(&file.path);
                let is_there = path.is_file()
                    && files::read(&path, bytes.len()).is_ok_and(|there| there == *bytes);
                if !is_there {
                    files::write(&path, bytes, inputs)?;
                    changed.insert(file.path.as_str());
                }
            }
            FileBody::Sound(figure, of) => recordings.push((site.join(&file.path), *figure, of)),
        }
    }
    recordings.retain(|(path, _, of)| !path.is_file() || changed.contains(of.as_str()));
    let made: Result<Vec<()>, Failure> = recordings
        .par_iter()
        .map(|(path, figure, _)| {
            let sound = book.sound(*figure).map_err(Failure::Said)?;
            files::write(path, &sound, inputs)
        })
        .collect();
    made.map(|_| ())
}

/// Makes the book; gives the files that it is made of, too.
fn made(path: &Path, options: &Treatise) -> Result<(Outcome, Vec<PathBuf>), Failure> {
    let folder = files::folder(path);
    let beside = |name: &str| match folder.to_str() {
        Some(".") => PathBuf::from(name),
        _ => folder.join(name),
    };
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let open = |name: &str| {
        let file = beside(name);
        let bytes = files::read(&file, LARGEST).map_err(|failure| failure.to_string())?;
        if bytes.len() > LARGEST {
            return Err(format!("{} is too long", shown(&file)));
        }
        Ok(bytes)
    };
    let language = options.lang.map(Language::from);
    let book = Book::read(&name, language, &open).map_err(Failure::Said)?;
    let fault = |fault: &book::Fault| {
        let Place { file, line } = &fault.place;
        format!("{}:{line}: {}\n", shown(&beside(file)), fault.message)
    };
    let said: String = book.faults().iter().map(fault).collect();
    say(&Printed::plain(said));
    let read: Vec<PathBuf> = book.files().iter().map(|file| beside(file)).collect();
    let inputs = Inputs::of(&read);
    if let Some(out) = &options.output {
        let pdf = book.pdf().map_err(|error| Failure::Said(error.to_string()))?;
        files::write(out, &pdf, &inputs)?;
    }
    if let Some(site) = &options.site {
        write_site(&book, site, options.sound, &inputs)?;
    }
    let outcome = if book.faults().is_empty() { Outcome::Done } else { Outcome::Findings };
    if outcome == Outcome::Findings {
        let count = match book.faults().len() {
            1 => "1 error".to_owned(),
            count => format!("{count} errors"),
        };
        say(&Printed::plain(format!(
            "{}: {count}; what can be made of the book is made all the same\n",
            shown(&beside(&name))
        )));
    }
    Ok((outcome, read))
}
