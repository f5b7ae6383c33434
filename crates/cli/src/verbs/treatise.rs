//! `book`: a treatise from its folder, as PDF and as a web site.

use std::path::{Path, PathBuf};

use book::{Book, Language};

use crate::Outcome;
use crate::arguments::Treatise;
use crate::files::{self, Failure, Inputs, shown};
use crate::printed::Printed;
use crate::streams::say;
use crate::watch;

/// A file of a book is no longer than this.
const LARGEST: usize = 64 << 20;

/// The text of a book that is named by its folder.
const TEXT: &str = "book.md";

pub(crate) fn run(options: &Treatise) -> Result<Outcome, Failure> {
    if options.output.is_none() && options.site.is_none() {
        let said = "say what to make of the book: -o treatise.pdf, --site DIR, or both";
        return Err(Failure::Said(said.to_owned()));
    }
    let path = if options.folder.is_dir() {
        options.folder.join(TEXT)
    } else {
        options.folder.clone()
    };
    if !options.watch {
        return made(&path, options).map(|(outcome, _)| outcome);
    }
    watch::all(|| made(&path, options))
}

/// Makes the book; gives the files that it is made of, too.
fn made(path: &Path, options: &Treatise) -> Result<(Outcome, Vec<PathBuf>), Failure> {
    let folder = files::folder(path);
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let open = |name: &str| {
        let file = folder.join(name);
        let bytes = files::read(&file, LARGEST).map_err(|failure| failure.to_string())?;
        if bytes.len() > LARGEST {
            return Err(format!("{} is too long", shown(&file)));
        }
        Ok(bytes)
    };
    let language = options.lang.map(Language::from);
    let book = Book::read(&name, language, &open).map_err(Failure::Said)?;
    let said: String = book.faults().iter().map(|fault| format!("{fault}\n")).collect();
    say(&Printed::plain(said));
    let read: Vec<PathBuf> = book.files().iter().map(|file| folder.join(file)).collect();
    let inputs = Inputs::of(&read);
    if let Some(out) = &options.output {
        let pdf = book.pdf().map_err(|error| Failure::Said(error.to_string()))?;
        files::write(out, &pdf, &inputs)?;
    }
    let outcome =
        if book.faults().is_empty() { Outcome::Done } else { Outcome::Findings };
    if outcome == Outcome::Findings {
        let count = match book.faults().len() {
            1 => "1 error".to_owned(),
            count => format!("{count} errors"),
        };
        say(&Printed::plain(format!(
            "{}: {count}; what can be made of the book is made all the same\n",
            shown(path)
        )));
    }
    Ok((outcome, read))
}
