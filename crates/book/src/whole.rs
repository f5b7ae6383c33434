//! A book, read.

use std::collections::BTreeMap;

use cartella::{Code, Document, Example};

use crate::facsimiles::{self, Pictures, Strips};
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
        let (mut pictures, mut unread) = (Pictures::new(), Vec::new());
        for figure in &book.manuscript.figures {
            if let Some(example) = book.example(figure) {
                let of = (&book.manuscript, figure);
                facsimiles::read(of, example, &noted, &mut pictures, &mut unread);
            }
        }
        book.pictures = pictures;
        book.faults.extend(unread);
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

    /// The strips of the source of a figure, and by whose leave they are shown.
    pub(crate) fn strips(&self, figure: usize) -> Option<(Strips, String)> {
        let figure = &self.manuscript.figures[figure];
        facsimiles::strips(&self.manuscript, figure, self.example(figure)?, &self.pictures)
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
            let shared = document.shared_diagnostics().iter().filter(|found| found.is_error());
            faults.extend(shared.map(|found| at(file, document, found)));
            // Of two examples of one name, only the first can be referred to.
            let of_examples = document.diagnostics().iter();
            let named = of_examples.filter(|found| found.code == Code::ExampleName);
            faults.extend(named.map(|found| at(file, document, found)));
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

#[cfg(test)]
mod tests {
    use super::*;

    const DUO: &str =
        "voice Cantus clef C1\n  sb A4 B lg C5 //\nvoice Tenor clef C4\n  sb D3 G3 lg C3 //\n";

    /// A book of these files.
    fn book(files: &[(&str, &str)]) -> Book {
        let open = |name: &str| {
            let found = files.iter().find(|(file, _)| *file == name);
            found.map(|(_, text)| text.as_bytes().to_vec()).ok_or(format!("there is no {name}"))
        };
        Book::read("book.md", None, &open).unwrap()
    }

    fn said(files: &[(&str, &str)]) -> Vec<String> {
        book(files).faults().iter().map(Fault::to_string).collect()
    }

    /// The faults of a text beside a file with one example.
    fn faults(text: &str) -> Vec<String> {
        let duo = format!("example 1\n{DUO}example 2\n{DUO}");
        said(&[("book.md", &format!("# A book\n\n{text}")), ("a.parts", &duo)])
    }

    #[test]
    fn a_good_book_has_no_faults() {
        let text = "## One\n\n![A duo](a.parts#1){bars=1 staves=open}[^1]\n\nSee [](a.parts#1), [](#one) \
                    and <https://example.org>.\n\n[^1]: Tenor:2 a note.\n";
        assert_eq!(faults(text), [] as [&str; 0]);
    }

    #[test]
    fn what_is_wrong_is_said_with_file_and_line() {
        for (text, expected) in [
            ("![](a.parts#3)", "book.md:3: there is no a.parts#3; its examples are 1 2"),
            ("![](b.parts#1)", "book.md:3: there is no b.parts"),
            ("![](a.parts)", "book.md:3: a.parts has several examples: name one, as in a.parts#1"),
            ("![](a.parts#1){bars=9}", "book.md:3: a.parts#1: it has bars 1 to "),
            (
                "![](a.parts#1){voices=Bassus}",
                "book.md:3: a.parts#1: it has no voice Bassus; its voices are",
            ),
            (
                "![](a.parts#1)\n\n![](a.parts#1)",
                "book.md:5: a.parts#1 stands in the book already, at book.md:3",
            ),
            ("![](picture.png)", "book.md:3: picture.png is no example"),
            (
                "see [](a.parts#1)",
                "book.md:3: a.parts#1 is referred to, but does not stand in the book",
            ),
            ("see [here](#there)", "book.md:3: there is no heading #there"),
            ("see [here](javascript:alert)", "book.md:3: the link leads to javascript:alert"),
            ("![](a.parts#1)[^1]\n\n[^1]: Tenor:9 x", "book.md:5: a.parts#1 has no note Tenor:9"),
            ("a[^1]\n\n[^1]: 7/Tenor:1 x", "book.md:5: there is no example 7"),
            ("a\n\n[^1]: x", "book.md:5: nothing refers to the footnote [^1]"),
            ("a ![](a.parts#1) b", "book.md:3: an example stands in a paragraph of its own"),
            ("[](other.md)", "book.md:3: there is no other.md"),
        ] {
            let found = faults(text);
            assert!(found.len() == 1 && found[0].starts_with(expected), "{text}: {found:#?}");
        }
    }

    #[test]
    fn a_footnote_that_is_missing_is_said() {
        let found = faults("a word[^2] and more\n");
        assert!(
            found.len() == 1 && found[0].starts_with("book.md:3: there is no footnote [^2]"),
            "{found:?}"
        );
    }

    #[test]
    fn an_example_with_errors_is_said_by_its_own_file() {
        let parts = format!("example 1\n{}", DUO.replace("A4 B", "A4 H"));
        let found = said(&[("book.md", "# A\n\n![](a.parts#1)\n"), ("a.parts", &parts)]);
        assert!(found[0].starts_with("a.parts:3: E"), "{found:?}");
    }

    #[test]
    fn two_examples_of_one_name_are_said() {
        let parts = format!("example 1\n{DUO}example 1\n{DUO}");
        let found = said(&[("book.md", "# A\n\n![](a.parts#1)\n"), ("a.parts", &parts)]);
        assert!(found.iter().any(|one| one.starts_with("a.parts:6: E")), "{found:?}");
    }

    #[test]
    fn files_are_taken_in_and_a_cycle_is_said() {
        let files = [
            ("book.md", "# A\n\n[](one.md)\n\n[](two.md)\n"),
            ("one.md", "## First\n\nWords.[^1]\n\n[^1]: of the first\n"),
            ("two.md", "## Second\n\nWords.[^1]\n\n[^1]: of the second\n\n[](book.md)\n"),
        ];
        let book = book(&files);
        assert_eq!(book.manuscript.chapters.len(), 2);
        let numbers: Vec<u32> = book.manuscript.notes.iter().map(|note| note.number).collect();
        assert_eq!(numbers, [1, 1]);
        let found: Vec<String> = book.faults().iter().map(Fault::to_string).collect();
        assert_eq!(
            found,
            ["two.md:7: book.md takes in two.md takes in book.md: leave out one of these links"]
        );
    }

    #[test]
    fn numbers_go_by_chapter_or_through_the_book() {
        let duo = format!("example 1\n{DUO}example 2\n{DUO}");
        let numbers = |head: &str| {
            let text =
                format!("# A {head}\n\n## One\n\n![](a.parts#2)\n\n## Two\n\n![](a.parts#1)\n");
            let book = book(&[("book.md", &text), ("a.parts", &duo)]);
            book.manuscript.figures.iter().map(|one| one.number.clone()).collect::<Vec<_>>()
        };
        assert_eq!(numbers(""), ["1.1", "2.1"]);
        assert_eq!(numbers("{numbers=book}"), ["1", "2"]);
    }

    #[test]
    fn what_an_example_cannot_show_leaves_the_rest() {
        let text = "# A\n\n## One\n\n![A duo](a.parts#9)\n\n![Two](a.parts#2)\n";
        let duo = format!("example 2\n{DUO}");
        let book = book(&[("book.md", text), ("a.parts", &duo)]);
        assert!(book.pdf().unwrap().starts_with(b"%PDF"));
        let site = book.site(false).unwrap();
        assert!(site.iter().any(|file| file.path == "examples/a-2.musicxml"));
    }

    #[test]
    fn no_tag_of_the_author_gets_into_a_page() {
        let text = "# A\n\n## <b>One</b>\n\n<script>alert(1)</script>\n\nand <img src=x onerror=alert(2)> \
                    `<i>`\n\n<!-- hidden -->\n\n![<u>](a.parts#2)\n";
        let duo = format!("title <svg onload=alert(3)>\nexample 2\n{DUO}");
        let book = book(&[("book.md", text), ("a.parts", &duo)]);
        for file in book.site(false).unwrap() {
            let crate::FileBody::Bytes(bytes) = file.body else { continue };
            if !file.path.starts_with("examples/") && file.path != "book.js" {
                let page = String::from_utf8(bytes).unwrap();
                for tag in
                    ["<b>", "<script>alert", "<img", "<i>", "<u>", "<svg onload", "hidden -->"]
                {
                    assert!(!page.contains(tag), "{} has {tag}", file.path);
                }
            }
        }
    }
}
