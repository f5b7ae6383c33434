//! A piece as a picture, whole or on pages, and the files that show it.

use std::cell::OnceCell;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use cartella::{
    Arranged, Book, EngraveError, Fit, Mm, Paper, Picture, SMALLEST_ON_ONE_PAGE, engrave_on, pages,
    pdf, png,
};

use crate::arguments::Score;
use crate::files::Failure;
use crate::kind::Kind;
use crate::printed::Printed;
use crate::verbs::leaves::{comment, mark, numbered};

/// So many characters that cannot be drawn are named.
const MOST_TOLD: usize = 8;

/// Files by their paths.
pub(crate) type Files = Vec<(PathBuf, Vec<u8>)>;

/// A piece that is drawn when it is first looked at, and once for all files.
pub(crate) struct Pictures<'a> {
    arranged: &'a Arranged<'a>,
    options: &'a Score,
    name: &'a str,
    whole: OnceCell<Picture>,
    book: OnceCell<(Book, Mm)>,
}

impl<'a> Pictures<'a> {
    pub(crate) fn new(
        arranged: &'a Arranged<'a>,
        options: &'a Score,
        name: &'a str,
    ) -> Pictures<'a> {
        let (whole, book) = (OnceCell::new(), OnceCell::new());
        Pictures { arranged, options, name, whole, book }
    }

    /// One picture of the whole piece.
    fn whole(&self) -> &Picture {
        self.whole.get_or_init(|| {
            self.options.paper.trimmed(self.arranged.picture(&self.options.look(false)))
        })
    }

    /// Its pages, with the height of the staff on them.
    fn book(&self) -> &(Book, Mm) {
        self.book.get_or_init(|| {
            if self.options.paper.is_cropped() {
                let picture = self.whole().clone();
                let staff = picture.staff();
                return (Book::of_pictures(vec![picture]), staff);
            }
            let paper = self.options.paper.paper();
            let picture = engrave_on(&self.arranged.arrangement, &self.options.look(true), &paper);
            let staff = picture.staff();
            (pages(vec![picture], &paper), staff)
        })
    }

    /// The pages, or the one picture.
    pub(crate) fn pages(&self, divided: bool) -> &[Picture] {
        if divided { &self.book().0.pages } else { std::slice::from_ref(self.whole()) }
    }

    /// The file of all pages.
    pub(crate) fn pdf(&self, out: &Path) -> Result<Files, Failure> {
        Ok(vec![(out.to_owned(), written(&self.book().0, out)?)])
    }

    /// The files: one, or one a page.
    pub(crate) fn svg(&self, out: &Path) -> Result<Files, Failure> {
        self.files(out, self.options.paper.divides(Kind::Svg), |page, number| {
            let mut svg = self.arranged.document().svg(page);
            if let Some(number) = number {
                svg.push_str(&comment(number));
            }
            Ok(svg.into_bytes())
        })
    }

    /// The files: one, or one a page.
    pub(crate) fn png(&self, out: &Path) -> Result<Files, Failure> {
        self.files(out, self.options.paper.divides(Kind::Png), |page, number| {
            let comment = number.map(mark);
            let paper = self.options.paper;
            png(page, paper.dpi(), paper.ground(), comment.as_deref())
                .map_err(|error| self.no_png(&error))
        })
    }

    /// One file, or one a page, each as it is drawn from its picture and the number of its page.
    fn files(
        &self,
        out: &Path,
        divided: bool,
        drawn: impl Fn(&Picture, Option<usize>) -> Result<Vec<u8>, Failure>,
    ) -> Result<Files, Failure> {
        let file = |(place, page): (usize, &Picture)| {
            let number = divided.then_some(place + 1);
            let path = number.map_or_else(|| out.to_owned(), |number| numbered(out, number));
            Ok((path, drawn(page, number)?))
        };
        self.pages(divided).iter().enumerate().map(file).collect()
    }

    fn no_png(&self, error: &EngraveError) -> Failure {
        let name = self.name;
        Failure::Said(match error {
            EngraveError::TooLarge(..) => format!(
                "{name}: {error} for one PNG: --page a4 makes one of each page, a smaller --dpi \
                 a coarser one"
            ),
            _ => format!("{name}: {error}"),
        })
    }

    /// What is to be said of what was drawn.
    pub(crate) fn said(&self) -> Printed {
        let mut missing = BTreeSet::new();
        let mut said = Printed::default();
        if let Some((book, staff)) = self.book.get() {
            said += self.size(book, *staff);
            missing.extend(book.pages.iter().flat_map(Picture::missing_characters));
        }
        if let Some(whole) = self.whole.get() {
            missing.extend(whole.missing_characters());
        }
        said + unknown(self.name, &missing)
    }

    /// That staves are smaller than was asked for, or that a piece is too long for one page.
    fn size(&self, book: &Book, staff: Mm) -> Printed {
        if self.options.filling.fit() == Fit::OnePage && book.pages.len() > 1 {
            let (name, pages) = (self.name, book.pages.len());
            let smallest = SMALLEST_ON_ONE_PAGE.0;
            return Printed::plain(format!(
                "{name}: too long for one page, even with staves of {smallest} mm; it has {pages}\n"
            ));
        }
        smaller(self.name, staff, self.options)
    }
}

/// Draws a piece of a book; with it, what is to be said of it.
pub(crate) fn of_book(
    arranged: &Arranged<'_>,
    options: &Score,
    paper: &Paper,
    name: &str,
) -> (Picture, Printed) {
    if options.paper.is_cropped() {
        let picture = options.paper.trimmed(arranged.picture(&options.look(false)));
        let missing = unknown(name, &picture.missing_characters());
        return (picture, missing);
    }
    let picture = engrave_on(&arranged.arrangement, &options.look(true), paper);
    let said = smaller(name, picture.staff(), options);
    let missing = unknown(name, &picture.missing_characters());
    (picture, said + missing)
}

/// That staves are smaller than was asked for.
fn smaller(name: &str, staff: Mm, options: &Score) -> Printed {
    let wanted = options.look(true).staff;
    let tenths = |height: Mm| (height.0 * 10.0).floor() / 10.0;
    if staff >= wanted - Mm(0.01) {
        return Printed::default();
    }
    let so_that = match options.filling.fit() {
        Fit::Pages => "the longest bar and the highest system fit on the paper",
        Fit::OnePage => "the piece fits on one page",
    };
    let (staff, wanted) = (tenths(staff), wanted.0);
    Printed::plain(format!("{name}: staves are {staff} mm high, not {wanted}, so that {so_that}\n"))
}

/// That some characters are in none of the faces.
pub(super) fn unknown(name: &str, missing: &BTreeSet<char>) -> Printed {
    if missing.is_empty() {
        return Printed::default();
    }
    let told = |character: &char| format!("{character} (U+{:04X})", u32::from(*character));
    let first: Vec<String> = missing.iter().take(MOST_TOLD).map(told).collect();
    let more = if missing.len() > MOST_TOLD { " and others" } else { "" };
    Printed::plain(format!(
        "{name}: no face here has {}{more}: the number of each stands in its place; type another \
         character, or write it in letters that can be drawn\n",
        first.join(", ")
    ))
}

/// A book as PDF. Its own name is its title, where it has no other.
pub(crate) fn written(book: &Book, out: &Path) -> Result<Vec<u8>, Failure> {
    let stem = out.file_stem().map(|stem| stem.to_string_lossy());
    let title = stem.filter(|_| !crate::files::is_standard_output(out));
    pdf(book, title.as_deref()).map_err(|error| Failure::Said(error.to_string()))
}
