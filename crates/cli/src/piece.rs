//! A parts file on its way to a score: all its examples, or the one that was asked for.

use std::borrow::Cow;
use std::path::{Path, PathBuf};

use cartella::{Diagnostic, Document, Example, LARGEST_TEXT, is_musicxml};

use crate::files::{self, Failure};
use crate::printed::{Printed, in_line};
use crate::report::Source;

/// So many names of examples are shown.
const MOST_NAMES: usize = 40;

/// A file of another kind where a parts file is wanted.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Other {
    MusicXml,
    Mei,
    /// Any other, with its name.
    Named(&'static str),
}

/// The kind of a file that is no parts file, by its first bytes.
fn other_kind(bytes: &[u8]) -> Option<Other> {
    let named: [(&[u8], &'static str); 4] = [
        (b"MThd", "a MIDI file"),
        (b"%PDF-", "a PDF"),
        (b"\x89PNG", "a picture"),
        (b"\xff\xd8\xff", "a picture"),
    ];
    if let Some((_, name)) = named.into_iter().find(|(begin, _)| bytes.starts_with(begin)) {
        return Some(Other::Named(name));
    }
    let text = String::from_utf8_lossy(&bytes[..bytes.len().min(4096)]);
    let text = text.trim_start_matches('\u{feff}').trim_start();
    let compressed = bytes.starts_with(b"PK");
    if !text.starts_with('<') && !compressed {
        return None;
    }
    let has = |root: &str| text.contains(root);
    match () {
        () if is_musicxml(bytes) => Some(Other::MusicXml),
        () if compressed => Some(Other::Named("a compressed file")),
        () if has("<mei") => Some(Other::Mei),
        () if has("<svg") => Some(Other::Named("an SVG picture")),
        () if has("<!DOCTYPE html") || has("<html") => Some(Other::Named("a web page")),
        () if text.starts_with("<?xml") => Some(Other::Named("an XML file")),
        () => None,
    }
}

impl Other {
    /// What the file is, and what to do with it.
    fn said(self, name: &str, path: &Path) -> String {
        let parts = path.with_extension("parts");
        let read = |what: &str| {
            let parts = files::shown(&parts);
            format!(
                "{name} is {what}, no parts file: `cartella read {name} -o {parts}` makes one of it"
            )
        };
        match self {
            Other::MusicXml => read("a MusicXML score"),
            Other::Mei => read("a voice in MEI"),
            Other::Named(what) => format!("{name} is {what}, no parts file"),
        }
    }
}

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
        let loaded = Loaded { only, ..Loaded::of_bytes(&path, &bytes)? };
        match &loaded.only {
            Some(wanted) if loaded.examples().next().is_none() => Err(loaded.no_example(wanted)),
            _ => Ok(loaded),
        }
    }

    /// Parses what was read from a file.
    pub(crate) fn of_bytes(path: &Path, bytes: &[u8]) -> Result<Loaded, Failure> {
        let name = files::shown(path);
        if let Some(kind) = other_kind(bytes) {
            return Err(Failure::Said(kind.said(&name, path)));
        }
        let document = Document::from_bytes(bytes);
        Ok(Loaded { name, path: path.to_owned(), document, only: None })
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

    /// An example as it is typed on the command line.
    pub(crate) fn to_type(&self, example: Example<'_>) -> String {
        if files::is_stream(&self.path) { "-".to_owned() } else { self.label(example) }
    }

    /// The name of the file without folder and ending; standard input has none.
    pub(crate) fn stem(&self) -> Option<String> {
        let stem = self.path.file_stem().filter(|_| !files::is_stream(&self.path))?;
        Some(stem.to_string_lossy().into_owned())
    }

    /// The file, for programs.
    pub(crate) fn file(&self) -> Cow<'_, str> {
        if files::is_stream(&self.path) {
            self.name.as_str().into()
        } else {
            self.path.to_string_lossy()
        }
    }

    /// What stands over its answer for people where several files are answered.
    pub(crate) fn heading(&self) -> Printed {
        let name = match &self.only {
            Some(example) => format!("{}#{}", self.name, in_line(example)),
            None => self.name.clone(),
        };
        Printed::plain(name + ":\n")
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_of_other_kinds_are_known_by_their_first_bytes() {
        let kind = |bytes: &[u8]| other_kind(bytes);
        assert_eq!(
            kind(b"<?xml version=\"1.0\"?>\n<score-partwise version=\"4.0\">"),
            Some(Other::MusicXml)
        );
        assert_eq!(kind(b"PK\x03\x04"), Some(Other::MusicXml));
        assert_eq!(kind(b"\xef\xbb\xbf<?xml version=\"1.0\"?><mei xmlns=\"x\">"), Some(Other::Mei));
        assert_eq!(kind(b"%PDF-1.7"), Some(Other::Named("a PDF")));
        assert_eq!(kind(b"<svg/>"), Some(Other::Named("an SVG picture")));
        for text in
            ["", "title <score-partwise", "voice Cantus clef C1\n < sb D4 | E > F", "< sb D4"]
        {
            assert_eq!(kind(text.as_bytes()), None, "{text}");
        }
    }
}
