//! The diplomatic copy of an example, for proofing by eye.

use engrave::{
    Copy, Finding, Look, Mm, Paper, Picture, Strip, TypeStyle, copy, copy_line, copy_on,
    unaccounted,
};
use notation::Diagnostic;
use score::{Heading, Score, SourceLine, lines_within, reckon, source_lines};

use crate::{Document, Example};

/// An example as its source prints it, line by line.
///
/// ```
/// use cartella::{Copy, Document, Look};
///
/// let document = Document::parse("voice Cantus clef C1\n  sb A4 B ~C /\n  lg C5 //\n");
/// let copied = document.first().copied();
/// assert_eq!(copied.lines.len(), 2);
/// let picture = copied.picture(&Look::default(), &Copy::default(), &|_, _| None);
/// assert_eq!(cartella::heads(&picture).len(), 3);
/// ```
#[derive(Clone, Debug)]
pub struct Copied<'d> {
    example: Example<'d>,
    /// What stands over it.
    pub heading: Heading,
    /// The lines of all voices that are written out, voice by voice.
    pub lines: Vec<SourceLine>,
    /// What is wrong or doubtful, from reading the example on, in the order of the text; whether the voices
    /// meet is not asked.
    pub diagnostics: Vec<Diagnostic>,
}

/// Where the strip of a page picture comes from that stands above a line: for a voice, by its place in the piece,
/// and the number of its line; without a voice, for a system of all voices.
pub type Strips<'s> = dyn Fn(Option<usize>, u32) -> Option<Strip> + 's;

impl<'d> Example<'d> {
    /// The example as its source prints it.
    ///
    /// ```
    /// let document = cartella::Document::parse("voice Cantus clef C1\n  sb A4 B / lg C5 //\n");
    /// let lines = document.first().copied().lines;
    /// assert_eq!((lines[0].notes, lines[0].minims.to_string()), (2, "4".to_owned()));
    /// ```
    pub fn copied(self) -> Copied<'d> {
        let piece = self.piece();
        let reckoned = reckon(piece);
        let mut diagnostics = self.diagnostics().to_vec();
        diagnostics.extend(reckoned.diagnostics.iter().cloned());
        diagnostics.sort_by_key(|diagnostic| (diagnostic.span, diagnostic.code));
        Copied {
            example: self,
            heading: Heading::of(piece),
            lines: source_lines(piece, &reckoned),
            diagnostics,
        }
    }
}

impl<'d> Copied<'d> {
    /// The example whose copy this is.
    ///
    /// ```
    /// let document = cartella::Document::parse("example 2\nvoice Cantus clef C1\n  sb A4 B\n");
    /// assert_eq!(document.first().copied().example().name(), Some("2"));
    /// ```
    pub fn example(&self) -> Example<'d> {
        self.example
    }

    /// The sorts that stand on one of its lines, as [`facsimile::read`](facsimile::read()) reads them from a
    /// picture.
    ///
    /// ```
    /// use cartella::facsimile::{Kind, Sort};
    ///
    /// let document = cartella::Document::parse("voice Cantus clef C1\n  sb A4. mn B /\n");
    /// let copied = document.first().copied();
    /// let sorts = copied.sorts(&copied.lines[0]);
    /// assert_eq!((sorts.len(), sorts[2]), (4, Sort::of(Kind::Dot)));
    /// ```
    pub fn sorts(&self, line: &SourceLine) -> Vec<facsimile::Sort> {
        source::sorts(self.example.piece(), line)
    }

    /// Leaves of it what an excerpt of its score has: see [`score::lines_within`].
    ///
    /// ```
    /// use cartella::{BarLength, Document, Excerpt};
    ///
    /// let document = Document::parse("voice Cantus clef C1\n  sb A4 B A B lg C5 //\n");
    /// let second = document.score(BarLength::Breve).excerpt(&Excerpt::bars(2..=2))?;
    /// let mut copied = document.first().copied();
    /// copied.keep(&second.score);
    /// assert_eq!(copied.lines[0].notes, 2);
    /// # Ok::<(), cartella::NoExcerpt>(())
    /// ```
    pub fn keep(&mut self, excerpt: &Score) {
        self.lines = lines_within(&self.lines, self.example.piece(), excerpt);
    }

    /// The document whose music this is.
    ///
    /// ```
    /// let document = cartella::Document::parse("voice Cantus clef C1\n  sb A4 B\n");
    /// assert_eq!(document.first().copied().document().text(), document.text());
    /// ```
    pub fn document(&self) -> &'d Document {
        self.example.document
    }

    /// One picture of all lines.
    ///
    /// ```
    /// use cartella::{Copy, CopyClefs, Document, Look};
    ///
    /// let document = Document::parse("voice Tenor clef C4\n  sb A3 B lg C4 //\n");
    /// let modern = Copy { clefs: CopyClefs::Modern, ..Copy::default() };
    /// let picture = document.first().copied().picture(&Look::default(), &modern, &|_, _| None);
    /// assert_eq!(cartella::staves(&picture)[0].octave_change, -1);
    /// ```
    pub fn picture(&self, look: &Look, setting: &Copy, strips: &Strips<'_>) -> Picture {
        copy(self.example.piece(), &self.lines, &self.heading, look, setting, strips)
    }

    /// The same for paper, to be set on pages by [`crate::pages()`].
    ///
    /// ```
    /// use cartella::{Copy, Document, Look, Paper, pages};
    ///
    /// let document = Document::parse("voice Tenor clef C4\n  sb A3 B lg C4 //\n");
    /// let copied = document.first().copied();
    /// let paper = Paper::A4;
    /// let picture = copied.on_paper(&Look::default(), &paper, &Copy::default(), &|_, _| None);
    /// assert_eq!(pages(vec![picture], &paper).pages.len(), 1);
    /// ```
    pub fn on_paper(
        &self,
        look: &Look,
        paper: &Paper,
        setting: &Copy,
        strips: &Strips<'_>,
    ) -> Picture {
        let (piece, lines, heading) = (self.example.piece(), &self.lines, &self.heading);
        copy_on(piece, lines, heading, (look, paper), setting, strips)
    }

    /// One of the lines as SVG, so wide and on a staff so high.
    ///
    /// ```
    /// use cartella::{Document, Mm, TypeStyle};
    ///
    /// let document = Document::parse("voice Tenor clef C4\n  sb A3 B lg C4 //\n");
    /// let copied = document.first().copied();
    /// let line = copied.line(&copied.lines[0], Mm(160.0), Mm(6.0), &TypeStyle::default());
    /// assert!(line.starts_with("<svg") && line.contains("data-index=\"3\""));
    /// ```
    pub fn line(&self, line: &SourceLine, width: Mm, staff: Mm, style: &TypeStyle) -> String {
        self.document().svg(&copy_line(self.example.piece(), line, width, staff, style))
    }

    /// The printed notes and rests that are missing on pictures of it, or stand there twice.
    ///
    /// ```
    /// use cartella::{Copy, Document, Look};
    ///
    /// let document = Document::parse("voice Tenor clef C4\n  sb A3 B lg C4 //\n");
    /// let copied = document.first().copied();
    /// let mut picture = copied.picture(&Look::default(), &Copy::default(), &|_, _| None);
    /// assert_eq!(copied.unaccounted(&[&picture]), []);
    /// picture.blocks.pop();
    /// assert_eq!(copied.unaccounted(&[&picture]).len(), 3);
    /// ```
    pub fn unaccounted(&self, pictures: &[&Picture]) -> Vec<Finding> {
        unaccounted(self.example.piece(), &self.lines, pictures)
    }
}
