//! What may stand in braces behind the title of a book, and behind an example.

use cartella::{BarLength, Mm, Reduction, Staves};

use crate::attributes::Attributes;
use crate::language::Language;

/// What is said of a whole book.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct TextOptions {
    pub(crate) author: Option<String>,
    pub(crate) language: Option<Language>,
    /// Whether examples are numbered through the book, not chapter by chapter.
    pub(crate) through: bool,
    pub(crate) paper: PaperSize,
    /// By whose leave pictures of the source are shown.
    pub(crate) permission: Option<String>,
}

/// The paper of a book.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(crate) enum PaperSize {
    #[default]
    A4,
    A5,
    Letter,
}

impl TextOptions {
    /// Reads attributes; each that is not understood is told.
    pub(crate) fn read(attributes: &Attributes) -> (TextOptions, Vec<String>) {
        let (mut options, mut faults) = (TextOptions::default(), Vec::new());
        for (name, value) in attributes.iter() {
            match (name, value) {
                ("author", _) => options.author = Some(value.to_owned()),
                ("permission", _) => options.permission = Some(value.to_owned()),
                ("numbers", "book") => options.through = true,
                ("numbers", "chapter") => options.through = false,
                ("paper", "a4") => options.paper = PaperSize::A4,
                ("paper", "a5") => options.paper = PaperSize::A5,
                ("paper", "letter") => options.paper = PaperSize::Letter,
                ("lang", code) if Language::from_code(code).is_some() => {
                    options.language = Language::from_code(code);
                }
                ("lang", _) => {
                    let codes: Vec<&str> = Language::ALL.map(Language::code).to_vec();
                    faults.push(format!("lang={value}: the languages are {}", codes.join(", ")));
                }
                ("numbers", _) => faults.push("type numbers=chapter or numbers=book".to_owned()),
                ("paper", _) => faults.push("type paper=a4, paper=a5 or paper=letter".to_owned()),
                _ => faults.push(format!(
                    "{name} says nothing of a book: what can be said is author, lang, numbers, paper, \
                     permission"
                )),
            }
        }
        (options, faults)
    }
}

/// How wide an example stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(crate) enum Width {
    #[default]
    Full,
    /// Two beside one another.
    Half,
}

/// How an example is shown.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct FigureOptions {
    pub(crate) staves: Staves,
    pub(crate) bar: BarLength,
    pub(crate) reduction: Reduction,
    /// The first and the last bar; the last of the piece where that is left out.
    pub(crate) bars: Option<(u32, Option<u32>)>,
    pub(crate) voices: Vec<String>,
    pub(crate) without: Vec<String>,
    /// Voices whose staves stay empty.
    pub(crate) blank: Vec<String>,
    /// The height of a staff on paper.
    pub(crate) staff: Mm,
    pub(crate) width: Width,
    /// Whether entries, cadences and dissonances are marked.
    pub(crate) study: bool,
    /// Whether its critical notes stand under it.
    pub(crate) report: bool,
    /// Its number in the source, and where it stands there.
    pub(crate) source_number: Option<String>,
    pub(crate) folio: Option<String>,
    /// By whose leave pictures of the source are shown.
    pub(crate) permission: Option<String>,
}

impl Default for FigureOptions {
    fn default() -> FigureOptions {
        FigureOptions {
            staves: Staves::Keyboard,
            bar: BarLength::Breve,
            reduction: Reduction::Original,
            bars: None,
            voices: Vec::new(),
            without: Vec::new(),
            blank: Vec::new(),
            staff: STAFF,
            width: Width::Full,
            study: false,
            report: false,
            source_number: None,
            folio: None,
            permission: None,
        }
    }
}

/// Staves beside text are smaller than those on a music desk.
const STAFF: Mm = Mm(5.2);
const SMALL_STAFF: Mm = Mm(4.2);
const LARGE_STAFF: Mm = Mm(7.0);

/// All that can be said of an example.
const NAMES: &str = "staves, bar, bars, voices, without, blank, size, width, marks, reduce, report, number, \
                     folio, permission";

impl FigureOptions {
    /// Reads attributes; each that is not understood is told.
    pub(crate) fn read(attributes: &Attributes) -> (FigureOptions, Vec<String>) {
        let (mut options, mut faults) = (FigureOptions::default(), Vec::new());
        for (name, value) in attributes.iter() {
            if let Err(said) = options.set(name, value) {
                faults.push(said);
            }
        }
        if !options.voices.is_empty() && !options.without.is_empty() {
            faults.push(
                "voices and without contradict one another: leave out one of them".to_owned(),
            );
            options.without.clear();
        }
        (options, faults)
    }

    fn set(&mut self, name: &str, value: &str) -> Result<(), String> {
        let one_of = |all: &str| Err(format!("{name}={value}: type {all}"));
        let text = || Some(value.to_owned());
        let list = || value.split(',').map(|one| one.trim().to_owned()).collect();
        match (name, value) {
            ("staves", "keyboard") => self.staves = Staves::Keyboard,
            ("staves", "open") => self.staves = Staves::Open,
            ("staves", _) => return one_of("staves=keyboard or staves=open"),
            ("bar", "breve") => self.bar = BarLength::Breve,
            ("bar", "semibreve") => self.bar = BarLength::Semibreve,
            ("bar", _) => return one_of("bar=breve or bar=semibreve"),
            ("reduce", "1") => self.reduction = Reduction::Original,
            ("reduce", "2") => self.reduction = Reduction::Halved,
            ("reduce", "4") => self.reduction = Reduction::Quartered,
            ("reduce", _) => return one_of("reduce=1, reduce=2 or reduce=4"),
            ("size", "small") => self.staff = SMALL_STAFF,
            ("size", "normal") => self.staff = STAFF,
            ("size", "large") => self.staff = LARGE_STAFF,
            ("size", _) => return one_of("size=small, size=normal or size=large"),
            ("width", "full") => self.width = Width::Full,
            ("width", "half") => self.width = Width::Half,
            ("width", _) => return one_of("width=full or width=half"),
            ("marks", "study") => self.study = true,
            ("marks", "none") => self.study = false,
            ("marks", _) => return one_of("marks=study or marks=none"),
            ("bars", _) => match bars(value) {
                Some(bars) => self.bars = Some(bars),
                None => return one_of("the first and the last, bars=5-8; one, bars=5; or bars=5-"),
            },
            ("voices", _) => self.voices = list(),
            ("without", _) => self.without = list(),
            ("blank", _) => self.blank = list(),
            ("report", _) => self.report = true,
            ("number", _) => self.source_number = text(),
            ("folio", _) => self.folio = text(),
            ("permission", _) => self.permission = text(),
            _ => {
                return Err(format!(
                    "{name} says nothing of an example: what can be said is {NAMES}"
                ));
            }
        }
        Ok(())
    }
}

/// `5-8`, `5` or `5-`
fn bars(text: &str) -> Option<(u32, Option<u32>)> {
    let (first, last) = match text.split_once(['-', '–']) {
        None => (text, Some(text)),
        Some((first, "")) => (first, None),
        Some((first, last)) => (first, Some(last)),
    };
    let first: u32 = first.parse().ok()?;
    match last {
        None => Some((first, None)),
        Some(last) => {
            last.parse().ok().filter(|last| first <= *last).map(|last| (first, Some(last)))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn options(text: &str) -> (FigureOptions, Vec<String>) {
        FigureOptions::read(&Attributes::read(text).unwrap().0)
    }

    #[test]
    fn what_is_said_of_an_example_is_read() {
        let (read, faults) =
            options("{staves=open bars=5-8 voices=Tenor,Bassus blank=Tenor size=small width=half}");
        assert_eq!(faults, [] as [&str; 0]);
        assert_eq!((read.staves, read.bars), (Staves::Open, Some((5, Some(8)))));
        assert_eq!((read.voices, read.width), (vec!["Tenor".into(), "Bassus".into()], Width::Half));
        assert_eq!((read.blank, read.staff), (vec!["Tenor".to_owned()], SMALL_STAFF));
    }

    #[test]
    fn what_is_not_understood_is_said() {
        for (text, said) in [
            ("{stave=open}", "stave says nothing of an example"),
            ("{staves=two}", "staves=two: type staves=keyboard or staves=open"),
            ("{bars=8-5}", "bars=8-5: type the first and the last"),
            ("{voices=A without=B}", "contradict"),
        ] {
            let (_, faults) = options(text);
            assert!(faults.len() == 1 && faults[0].contains(said), "{faults:?}");
        }
    }
}
