//! A book, read.

use std::collections::BTreeMap;

use cartella::{Document, Example};

use crate::facsimiles::Pictures;
use crate::fault::{Fault, Place};
use crate::language::Language;
use crate::numbering;
use crate::shown::{self, Shown};
use crate::text::{self, Figure, Manuscript, plain};

/// A book with its examples.
#[derive(Debug)]
pub struct Book {
    pub(crate) manuscript: Manuscript,
    /// The parts files, by their names.
    pub(crate) documents: BTreeMap<String, Document>,
    /// Pictures of the source that may be shown.
    pub(crate) pictures: Pictures,
    /// All files that were read, whether they are there or not.
    files: Vec<String>,
    language: Language,
    faults: Vec<Fault>,
}

impl Book {
    /// Reads a book from its text, in the language that is given or else said in the text. `open` gives the bytes of a
    /// file that the text names, or says why it cannot; names are as they are typed.
    ///
    /// # Errors
    /// If the text itself cannot be had. All else is among the [faults](Book::faults).
    pub fn read(
        file: &str,
        language: Option<Language>,
        open: &dyn Fn(&str) -> Result<Vec<u8>, String>,
    ) -> Result<Book, String> {
        let opened = std::cell::RefCell::new(vec![file.to_owned()]);
        let noted = |name: &str| {
            let mut opened = opened.borrow_mut();
            if !opened.iter().any(|other| other == name) {
                opened.push(name.to_owned());
            }
            open(name)
        };
        let reading = text::read(file, &noted)?;
        let (mut manuscript, mut faults) = (reading.manuscript, reading.faults);
        let documents = documents(&manuscript.figures, &noted, &mut faults);
        if manuscript.title.is_empty() {
            let place = Place { file: file.to_owned(), line: 1 };
            let message = "the book has no title: begin with a line `# The title`".to_owned();
            faults.push(Fault { place, message });
        }
        numbering::number(&mut manuscript, &mut faults);
        let language = language.or(manuscript.options.language).unwrap_or_default();
        let (files, pictures) = (Vec::new(), Pictures::new());
        let mut book = Book { manuscript, documents, pictures, files, language, faults };
        let found = book.read_pictures(&noted);
        book.faults.extend(found);
        let found = book.faults_of_examples();
        book.faults.extend(found);
        book.files = opened.into_inner();
        book.faults.sort();
        book.faults.dedup();
        Ok(book)
    }

    /// What is wrong, by file and line.
    pub fn faults(&self) -> &[Fault] {
        &self.faults
    }

    /// The names of all files that it is made of, as they are typed.
    pub fn files(&self) -> &[String] {
        &self.files
    }

    /// Its title in plain words.
    pub fn title(&self) -> String {
        plain(&self.manuscript.title)
    }

    /// The language of its words.
    pub fn language(&self) -> Language {
        self.language
    }

    /// How many examples stand in it.
    pub fn examples(&self) -> usize {
        self.manuscript.figures.len()
    }

    /// The example of a figure, if there is one.
    pub(crate) fn example(&self, figure: &Figure) -> Option<Example<'_>> {
        let document = self.documents.get(&figure.file)?;
        match &figure.name {
            Some(name) => document.example(name),
            None => Some(document.first()),
        }
    }

    /// A figure as it is laid out; why not, if it cannot be.
    pub(crate) fn shown(&self, figure: usize) -> Result<Shown<'_>, String> {
        let asked = &self.manuscript.figures[figure];
        let example = self.example(asked).ok_or_else(|| "there is no such example".to_owned())?;
        shown::show(example, &asked.options, &self.marks(figure), self.has_report(asked))
    }

    /// Whether the critical notes of a figure stand in the book.
    fn has_report(&self, figure: &Figure) -> bool {
        figure.options.report || self.manuscript.chapters[figure.chapter].report
    }

    /// The footnotes that point into a figure: voice, index, and the number of the footnote.
    fn marks(&self, figure: usize) -> Vec<(String, u32, String)> {
        let notes = self.manuscript.notes.iter();
        let pointing = notes.filter_map(|note| {
            let at = note.at.as_ref().filter(|at| at.figure == figure)?;
            Some((at.voice.clone(), at.index, note.number.to_string()))
        });
        pointing.collect()
    }

    /// Errors of the parts files, references to what is not there, and bars and voices that an example has not.
    fn faults_of_examples(&self) -> Vec<Fault> {
        let mut faults = Vec::new();
        for (file, document) in &self.documents {
            for found in document.shared_diagnostics().iter().filter(|found| found.is_error()) {
                faults.push(at(file, document, found));
            }
        }
        for (number, figure) in self.manuscript.figures.iter().enumerate() {
            let Some(document) = self.documents.get(&figure.file) else { continue };
            let Some(example) = self.example(figure) else {
                let names: Vec<&str> = document.examples().filter_map(Example::name).collect();
                let there = match names.as_slice() {
                    [] => "it is not divided into examples".to_owned(),
                    names => format!("its examples are {}", few(names)),
                };
                let message = format!("there is no {}; {there}", figure.reference);
                faults.push(Fault { place: figure.place.clone(), message });
                continue;
            };
            if figure.name.is_none() && document.examples().len() > 1 {
                let names: Vec<&str> = document.examples().filter_map(Example::name).collect();
                let first = names.first().copied().unwrap_or_default();
                let message = format!(
                    "{0} has several examples: name one, as in {0}#{first}",
                    figure.reference
                );
                faults.push(Fault { place: figure.place.clone(), message });
            }
            let aligned = example.score(figure.options.bar);
            let errors = aligned.diagnostics.iter().filter(|found| found.is_error());
            faults.extend(errors.map(|found| at(&figure.file, document, found)));
            if let Err(message) = self.shown(number) {
                let message = format!("{}: {message}", figure.reference);
                faults.push(Fault { place: figure.place.clone(), message });
            }
        }
        for note in &self.manuscript.notes {
            let Some(pointed) = &note.at else { continue };
            let figure = &self.manuscript.figures[pointed.figure];
            let Some(example) = self.example(figure) else { continue };
            if example.piece().numbered(&pointed.voice, pointed.index).is_none() {
                let (voice, index) = (&pointed.voice, pointed.index);
                let message = format!("{} has no note {voice}:{index}", figure.reference);
                faults.push(Fault { place: note.place.clone(), message });
            }
        }
        faults
    }
}

/// A diagnostic of a parts file.
fn at(file: &str, document: &Document, found: &cartella::Diagnostic) -> Fault {
    let place = Place { file: file.to_owned(), line: document.place(found.span).0 };
    let help = found.help.as_ref().map_or(String::new(), |help| format!("; {help}"));
    Fault { place, message: format!("{} {}{help}", found.code, found.message) }
}

/// So many names are told.
const MOST_NAMES: usize = 40;

fn few(names: &[&str]) -> String {
    let more = if names.len() > MOST_NAMES { " …" } else { "" };
    format!("{}{more}", names[..names.len().min(MOST_NAMES)].join(" "))
}

/// Reads the parts files of all figures, each once.
fn documents(
    figures: &[Figure],
    open: &dyn Fn(&str) -> Result<Vec<u8>, String>,
    faults: &mut Vec<Fault>,
) -> BTreeMap<String, Document> {
    let mut documents = BTreeMap::new();
    let mut failed: Vec<&str> = Vec::new();
    for figure in figures {
        if documents.contains_key(&figure.file) || failed.contains(&figure.file.as_str()) {
            continue;
        }
        match open(&figure.file) {
            Ok(bytes) => {
                documents.insert(figure.file.clone(), Document::from_bytes(&bytes));
            }
            Err(message) => {
                failed.push(&figure.file);
                faults.push(Fault { place: figure.place.clone(), message });
            }
        }
    }
    documents
}
