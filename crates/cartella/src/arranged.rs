//! A score made ready for a modern reader, and the files that show it.

use engrave::{Book, Look, Paper, Picture, engrave, engrave_on, pages};
use exchange::MidiTuning;
use score::{Arrangement, Options, Performance};
use sound::Playing;

use crate::{Aligned, Document, Error};

/// A score made ready for a modern reader, to be written in any format.
///
/// ```
/// use cartella::{BarLength, Document, Look, Options};
///
/// let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
/// let aligned = document.score(BarLength::Breve);
/// let arranged = aligned.arrangement(Options::default());
/// assert!(arranged.svg(&Look::default()).starts_with("<svg"));
/// ```
#[derive(Clone, Debug)]
pub struct Arranged<'s> {
    pub(crate) document: &'s Document,
    /// The arrangement.
    pub arrangement: Arrangement<'s>,
}

impl<'s> Arranged<'s> {
    /// The document whose music this is.
    ///
    /// ```
    /// # use cartella::{BarLength, Document, Options};
    /// # let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// # let aligned = document.score(BarLength::Breve);
    /// # let arranged = aligned.arrangement(Options::default());
    /// assert_eq!(arranged.document().text(), document.text());
    /// ```
    pub fn document(&self) -> &'s Document {
        self.document
    }

    /// One picture of the whole piece.
    ///
    /// ```
    /// # use cartella::{BarLength, Document, Look, Options};
    /// # let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// # let aligned = document.score(BarLength::Breve);
    /// # let arranged = aligned.arrangement(Options::default());
    /// assert_eq!(cartella::heads(&arranged.picture(&Look::default())).len(), 3);
    /// ```
    pub fn picture(&self, look: &Look) -> Picture {
        engrave(&self.arrangement, look)
    }

    /// The piece on pages.
    ///
    /// ```
    /// # use cartella::{BarLength, Document, Look, Options, Paper};
    /// # let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// # let aligned = document.score(BarLength::Breve);
    /// # let arranged = aligned.arrangement(Options::default());
    /// assert_eq!(arranged.pages(&Look::default(), &Paper::A4).pages.len(), 1);
    /// ```
    pub fn pages(&self, look: &Look, paper: &Paper) -> Book {
        pages(vec![engrave_on(&self.arrangement, look, paper)], paper)
    }

    /// One picture of the whole piece as SVG.
    ///
    /// ```
    /// # use cartella::{BarLength, Document, Look, Options};
    /// # let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// # let aligned = document.score(BarLength::Breve);
    /// # let arranged = aligned.arrangement(Options::default());
    /// assert!(arranged.svg(&Look::default()).ends_with("</svg>\n"));
    /// ```
    pub fn svg(&self, look: &Look) -> String {
        self.document.svg(&self.picture(look))
    }

    /// One picture of the whole piece as PNG, with so many pixels to an inch.
    ///
    /// ```
    /// # use cartella::{BarLength, Document, Look, Options};
    /// # let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// # let aligned = document.score(BarLength::Breve);
    /// # let arranged = aligned.arrangement(Options::default());
    /// assert!(arranged.png(&Look::default(), 72.0)?.starts_with(b"\x89PNG"));
    /// # Ok::<(), cartella::Error>(())
    /// ```
    ///
    /// # Errors
    /// If it has too many pixels.
    pub fn png(&self, look: &Look, dpi: f64) -> Result<Vec<u8>, Error> {
        Ok(engrave::png(&self.picture(look), dpi, engrave::Ground::White, None)?)
    }

    /// The pages as PDF.
    ///
    /// ```
    /// # use cartella::{BarLength, Document, Look, Options, Paper};
    /// # let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// # let aligned = document.score(BarLength::Breve);
    /// # let arranged = aligned.arrangement(Options::default());
    /// assert!(arranged.pdf(&Look::default(), &Paper::LETTER)?.starts_with(b"%PDF"));
    /// # Ok::<(), cartella::Error>(())
    /// ```
    ///
    /// # Errors
    /// What the library that writes the file says.
    pub fn pdf(&self, look: &Look, paper: &Paper) -> Result<Vec<u8>, Error> {
        Ok(engrave::pdf(&self.pages(look, paper), None)?)
    }

    /// The score as MusicXML 4.0; see [`exchange::write_musicxml`].
    ///
    /// ```
    /// # use cartella::{BarLength, Document, Options};
    /// # let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// # let aligned = document.score(BarLength::Breve);
    /// # let arranged = aligned.arrangement(Options::default());
    /// assert!(arranged.musicxml()?.contains("<step>A</step>"));
    /// # Ok::<(), cartella::Error>(())
    /// ```
    ///
    /// # Errors
    /// If a pitch is beyond the octaves of the format.
    pub fn musicxml(&self) -> Result<String, Error> {
        Ok(exchange::write_musicxml(&self.arrangement)?)
    }

    /// The same, compressed.
    ///
    /// ```
    /// # use cartella::{BarLength, Document, Options};
    /// # let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// # let aligned = document.score(BarLength::Breve);
    /// # let arranged = aligned.arrangement(Options::default());
    /// assert!(cartella::is_musicxml(&arranged.mxl()?));
    /// # Ok::<(), cartella::Error>(())
    /// ```
    ///
    /// # Errors
    /// If a pitch is beyond the octaves of the format.
    pub fn mxl(&self) -> Result<Vec<u8>, Error> {
        Ok(exchange::write_mxl(&self.musicxml()?)?)
    }

    /// How it is played, transposed as the arrangement is: when every note is struck and let go. See
    /// [`Aligned::playing`].
    ///
    /// ```
    /// # use cartella::{BarLength, Document, Options};
    /// # let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// # let aligned = document.score(BarLength::Breve);
    /// # let arranged = aligned.arrangement(Options::default());
    /// let performance = arranged.performance(&aligned.playing());
    /// assert!((performance.notes[1].struck - 2.0).abs() < 1e-9); // seconds
    /// ```
    pub fn performance(&self, playing: &Playing) -> Performance {
        sound::perform(self.arrangement.score, playing, self.arrangement.options.transpose)
    }

    /// How it is played, as a Standard MIDI File; see [`exchange::write_tuned_midi`].
    ///
    /// ```
    /// # use cartella::{BarLength, Document, MidiTuning, Options};
    /// # let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// # let aligned = document.score(BarLength::Breve);
    /// # let arranged = aligned.arrangement(Options::default());
    /// let performance = arranged.performance(&aligned.playing());
    /// assert!(arranged.midi(&performance, MidiTuning::Unsaid)?.starts_with(b"MThd"));
    /// # Ok::<(), cartella::Error>(())
    /// ```
    ///
    /// # Errors
    /// If the format cannot hold a pitch or a length.
    pub fn midi(
        &self,
        performance: &Performance,
        tuning: MidiTuning<'_>,
    ) -> Result<Vec<u8>, Error> {
        Ok(exchange::write_tuned_midi(self.arrangement.score, performance, tuning)?)
    }
}

impl Document {
    /// A picture or a page of this document as SVG; its signs name the lines where they were typed.
    ///
    /// ```
    /// use cartella::{BarLength, Document, Look, Options, Paper};
    ///
    /// let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// let aligned = document.score(BarLength::Breve);
    /// let book = aligned.arrangement(Options::default()).pages(&Look::default(), &Paper::A4);
    /// assert!(document.svg(&book.pages[0]).contains("data-line=\"2\""));
    /// ```
    pub fn svg(&self, picture: &Picture) -> String {
        engrave::svg(picture, &|span| self.place(span).0)
    }
}

impl Aligned<'_> {
    /// What a modern reader needs beside the score: hands, ties, beams, stems, accidentals.
    ///
    /// ```
    /// use cartella::{BarLength, Document, Options, Staves};
    ///
    /// let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// let open = Options { staves: Staves::Open, ..Options::default() };
    /// let aligned = document.score(BarLength::Breve);
    /// assert_eq!(aligned.arrangement(open).arrangement.staves.len(), 1);
    /// ```
    pub fn arrangement(&self, options: Options) -> Arranged<'_> {
        Arranged {
            document: self.example().document(),
            arrangement: score::arrange(&self.score, options),
        }
    }
}
