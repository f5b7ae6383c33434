//! A parts file on its way to a score: all its examples, or the one that was asked for.

use std::path::{Path, PathBuf};

use cartella::{Diagnostic, Document, Example, LARGEST_TEXT};

use crate::files::{self, Failure};
use crate::printed::in_line;
use crate::report::Source;

/// So many names of examples are shown.
const MOST_NAMES: usize = 40;

/// A parts file that was read.
pub(crate) struct Loaded {
    pub(crate) path: PathBuf,
    /// Its name in messages, on one line.
    pub(crate) name: String,
    pub(crate) document: Document,
    /// The one example that was asked for, `F.parts#NAME`.
    pub(crate) only: Option<String>,
}

impl Loaded {
    /// Reads and parses a file, of which one example may be named; only what cannot be read at all is a
    /// failure.
    pub(crate) fn read(typed: &Path) -> Result<Loaded, Failure> {
        let (path, only) = files::parted(typed);
        let bytes = files::read(&path, LARGEST_TEXT)?;
        let document = Document::from_bytes(&bytes);
        let loaded = Loaded { name: files::shown(&path), path, document, only };
        match &loaded.only {
            Some(wanted) if loaded.examples().next().is_none() => Err(loaded.no_example(wanted)),
            _ => Ok(loaded),
        }
    }

    fn no_example(&self, wanted: &str) -> Failure {
        let names: Vec<&str> = self.document.examples().filter_map(Example::name).collect();
        let more = if names.len() > MOST_NAMES { " …" } else { "" };
        let there = match names.as_slice() {
            [] => "it is not divided into examples".to_owned(),
            names => {
                format!("its examples are {}{more}", names[..names.len().min(MOST_NAMES)].join(" "))
            }
        };
        Failure::Said(format!("{} has no example {}; {there}", self.name, in_line(wanted)))
    }

    /// The examples that were asked for.
    pub(crate) fn examples(&self) -> impl Iterator<Item = Example<'_>> {
        let only = self.only.as_deref();
        self.document.examples().filter(move |one| only.is_none() || one.name() == only)
    }

    /// The example that was asked for, where only one can be meant.
    pub(crate) fn one(&self) -> Result<Example<'_>, Failure> {
        let mut examples = self.examples();
        match (examples.next(), examples.next()) {
            (Some(one), None) => Ok(one),
            (Some(first), Some(_)) => Err(Failure::Said(format!(
                "{} has several examples: name one, as in {}",
                self.name,
                self.label(first)
            ))),
            (None, _) => Err(Failure::Said(format!("{} is empty", self.name))),
        }
    }

    /// The name of an example in messages: `F.parts#NAME`.
    pub(crate) fn label(&self, example: Example<'_>) -> String {
        match example.name() {
            Some(example) => format!("{}#{example}", self.name),
            None => self.name.clone(),
        }
    }

    /// What is wrong before the first example, which is said with the first one that was asked for.
    pub(crate) fn shared(&self, example: Example<'_>) -> &[Diagnostic] {
        let is_first = self.examples().next().is_some_and(|first| first.name() == example.name());
        if is_first { self.document.shared_diagnostics() } else { &[] }
    }

    /// The errors of these, and those that are said with the example.
    pub(crate) fn errors(&self, example: Example<'_>, found: &[Diagnostic]) -> Vec<Diagnostic> {
        let all = self.shared(example).iter().chain(found);
        all.filter(|found| found.is_error()).cloned().collect()
    }

    /// The file, by the name of an example in it.
    pub(crate) fn source<'s>(&'s self, name: &'s str) -> Source<'s> {
        Source { name, document: &self.document }
    }
}
