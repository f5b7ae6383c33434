//! A parts file, read.

use std::sync::OnceLock;

use exchange::{MeiPart, Minim, Reading, Remark};
use notation::{Diagnostic, Edit, Examples, LineIndex, Span, Spelling, apply, examples, text_of};
use score::{Fixed, first_difference};
use source::{Part as SourcePart, Unread};

use crate::Error;

/// A parts file, read as far as it can be read. It holds one or more examples.
///
/// ```
/// use cartella::Document;
///
/// let duo = "voice Cantus clef C1\n  sb A4 B lg C5 //\nvoice Tenor clef C4\n  sb D3 G3 lg C3 //\n";
/// let document = Document::parse(format!("title A chapter\nexample 1\n{duo}example 2\n{duo}"));
/// assert!(!document.has_errors());
/// for example in document.examples() {
///     println!("{}: {} voices", example.name().unwrap_or("-"), example.piece().voices.len());
/// }
/// ```
#[derive(Clone, Debug)]
pub struct Document {
    text: String,
    pub(crate) read: Examples,
    lines: OnceLock<LineIndex>,
    diagnostics: OnceLock<Vec<Diagnostic>>,
}

impl Document {
    /// Reads a text. Never fails: what cannot be read is among the diagnostics.
    ///
    /// ```
    /// let document = cartella::Document::parse("voice Cantus clef C1\n  sb A4 H\n");
    /// assert!(document.has_errors());
    /// ```
    pub fn parse(text: impl Into<String>) -> Document {
        let text = text.into();
        let read = examples(&text);
        Document { text, read, lines: OnceLock::new(), diagnostics: OnceLock::new() }
    }

    /// Reads the bytes of a file. Bytes that are no UTF-8 text are an error among the diagnostics.
    ///
    /// ```
    /// let document = cartella::Document::from_bytes(b"voice Cantus \xff");
    /// assert_eq!(document.diagnostics().len(), 1);
    /// ```
    pub fn from_bytes(bytes: &[u8]) -> Document {
        match text_of(bytes) {
            Ok(text) => Document::parse(text),
            Err(wrong) => {
                // The place of the bytes that are no text is still a place of what is shown.
                let mut document = Document::parse("");
                document.read.examples[0].diagnostics = vec![*wrong];
                document.text = String::from_utf8_lossy(bytes).into_owned();
                document
            }
        }
    }

    /// Reads voices encoded in MEI mensural notation, the top voice first; with what a parts file
    /// does not hold. The text is in canonical form unless it has errors, or other music then.
    ///
    /// ```
    /// use cartella::{Document, MeiPart};
    ///
    /// let text = r#"<mei xmlns="http://www.music-encoding.org/ns/mei"><music><body><mdiv><score>
    ///   <scoreDef><staffGrp><staffDef n="1" lines="5" notationtype="mensural.white"
    ///     clef.shape="C" clef.line="1" mensur.tempus="2"/></staffGrp></scoreDef>
    ///   <section><staff n="1"><layer n="1">
    ///     <note pname="a" oct="4" dur="semibrevis"/><note pname="c" oct="5" dur="longa"/>
    ///   </layer></staff></section></score></mdiv></body></music></mei>"#;
    /// let (document, _remarks) = Document::read_mei(&[MeiPart { name: "cantus", text }])?;
    /// assert_eq!(document.text(), "voice Cantus  clef C1\n  sb A4 lg C\n");
    /// # Ok::<(), cartella::Error>(())
    /// ```
    ///
    /// # Errors
    /// If the texts are no such voices.
    pub fn read_mei(parts: &[MeiPart<'_>]) -> Result<(Document, Vec<Remark>), Error> {
        Ok(Document::of(exchange::read_mei(parts)?))
    }

    /// Reads a score in MusicXML, plain or compressed; `name` is that of the file in messages. See
    /// [`exchange::read_musicxml`] for `minim` and for what is read.
    ///
    /// ```
    /// use cartella::{BarLength, Document, Options};
    ///
    /// let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// let score = document.score(BarLength::Breve);
    /// let written = score.arrangement(Options::default()).musicxml()?;
    /// let (again, _remarks) = Document::read_musicxml("duo", written.as_bytes(), None)?;
    /// assert_eq!(again.score(BarLength::Breve).score.length, score.score.length);
    /// # Ok::<(), cartella::Error>(())
    /// ```
    ///
    /// # Errors
    /// If the bytes are no such score.
    pub fn read_musicxml(
        name: &str,
        bytes: &[u8],
        minim: Option<Minim>,
    ) -> Result<(Document, Vec<Remark>), Error> {
        Ok(Document::of(exchange::read_musicxml(name, bytes, minim)?))
    }

    /// Reads voices of which the staves were read in pictures of the source, top voice first; what is doubtful
    /// comes first among the remarks. [`facsimile::read`](facsimile::read()) reads a staff. Where staves
    /// leave a choice, the reading is taken under which the voices agree.
    ///
    /// ```
    /// use cartella::facsimile::{Network, Sizes, image::GrayImage, read, strips};
    /// use cartella::{Document, SourcePart, StaffLine};
    ///
    /// let page = GrayImage::new(800, 600); // nothing is on it
    /// let (staves, network) = (strips(&page), Network::shipped());
    /// let sizes = Sizes::of(&page, &staves);
    /// let line = |staff| {
    ///     StaffLine { row: read(&sizes.laid(staff), &network), place: None, ends_page: false }
    /// };
    /// let tenor = SourcePart { name: "Tenor".to_owned(), lines: staves.iter().map(line).collect() };
    /// assert_eq!(Document::read_source(&[tenor]).unwrap_err().to_string(), "Tenor: no music is found");
    /// ```
    ///
    /// # Errors
    /// If a voice has no music that can be read.
    pub fn read_source(parts: &[SourcePart]) -> Result<(Document, Vec<Remark>), Unread> {
        Ok(Document::of(source::read_together(parts)?))
    }

    /// What the voices in files of these names are called, top voice first: after the part-books that the
    /// names name, or else as voices usually are.
    ///
    /// ```
    /// let names = ["scan 3".to_owned(), "tenor".to_owned()];
    /// assert_eq!(cartella::Document::names_of_voices(&names), ["Cantus", "Tenor"]);
    /// ```
    pub fn names_of_voices(files: &[String]) -> Vec<String> {
        exchange::names_of_files(files)
    }

    fn of(reading: Reading) -> (Document, Vec<Remark>) {
        let document = Document::parse(reading.text);
        // What a dot or a black note means may depend on how it is typed: then it stays so.
        let tidied = document.tidy(Spelling::default()).map(Document::parse);
        (tidied.unwrap_or(document), reading.remarks)
    }

    /// The text.
    ///
    /// ```
    /// assert_eq!(cartella::Document::parse("title A duo").text(), "title A duo");
    /// ```
    pub fn text(&self) -> &str {
        &self.text
    }

    /// What is wrong or doubtful in the text by itself. Counting and aligning may notice more: see
    /// [`crate::Example::score`] and [`crate::Example::check`].
    ///
    /// ```
    /// let document = cartella::Document::parse("voice Cantus clef C1\n  sb D A4\n");
    /// assert_eq!(document.diagnostics()[0].message, "D has two places on this staff");
    /// ```
    pub fn diagnostics(&self) -> &[Diagnostic] {
        self.diagnostics.get_or_init(|| self.read.diagnostics().cloned().collect())
    }

    /// Of these, what is wrong or doubtful before the first `example` line, which holds for all.
    ///
    /// ```
    /// let text = "titel A chapter\nexample 1\nvoice Cantus clef C1\n  sb A4 B\n";
    /// let document = cartella::Document::parse(text);
    /// assert_eq!(document.shared_diagnostics().len(), 1);
    /// assert_eq!(document.first().diagnostics(), []);
    /// ```
    pub fn shared_diagnostics(&self) -> &[Diagnostic] {
        &self.read.shared
    }

    /// Whether the text by itself has errors: something that cannot be read.
    ///
    /// ```
    /// assert!(cartella::Document::parse("voices Cantus").has_errors());
    /// ```
    pub fn has_errors(&self) -> bool {
        self.read.has_errors()
    }

    /// The line and column where a span begins, both from 1; columns count characters.
    ///
    /// ```
    /// let document = cartella::Document::parse("voice Cantus clef C1\n  sb D A4\n");
    /// assert_eq!(document.place(document.diagnostics()[0].span), (2, 6));
    /// ```
    pub fn place(&self, span: Span) -> (u32, u32) {
        self.lines().line_and_column(&self.text, span.start)
    }

    /// Where the lines of the text begin.
    ///
    /// ```
    /// let document = cartella::Document::parse("title A duo\nsource fol. 3r");
    /// assert_eq!(document.lines().line(14), 2);
    /// ```
    pub fn lines(&self) -> &LineIndex {
        self.lines.get_or_init(|| LineIndex::new(&self.text))
    }

    /// The text with what is mechanical mended, as far as the music stays what it was read as. The
    /// diagnostics are those of the document, or of [`crate::Example::check`].
    ///
    /// ```
    /// let document = cartella::Document::parse("voice Cantus clef C1\n  SB A4 B lg C5\n");
    /// let fixed = document.fix(document.diagnostics());
    /// assert_eq!(fixed.text, "voice Cantus clef C1\n  sb A4 B lg C5\n");
    /// ```
    pub fn fix(&self, diagnostics: &[Diagnostic]) -> Fixed {
        score::fix(&self.text, diagnostics)
    }

    /// The text in canonical form.
    ///
    /// ```
    /// use cartella::{Document, Spelling};
    ///
    /// let document = Document::parse("voice Cantus clef C1\nsb A4  sb B lg C5");
    /// let tidied = document.tidy(Spelling::default())?;
    /// assert_eq!(tidied, "voice Cantus  clef C1\n  sb A4 B lg C\n");
    /// # Ok::<(), cartella::Error>(())
    /// ```
    ///
    /// # Errors
    /// If the text has errors, or if it would be other music in canonical form.
    pub fn tidy(&self, spelling: Spelling) -> Result<String, Error> {
        if self.has_errors() {
            return Err(Error::Faulty(self.diagnostics().to_vec()));
        }
        let tidied = notation::tidy(&self.text, spelling).map_err(Error::Faulty)?;
        self.must_be_the_music_of(&tidied)?;
        Ok(tidied)
    }

    /// Whether a text that was spelled anew is still the same music.
    pub(crate) fn must_be_the_music_of(&self, tidied: &str) -> Result<(), Error> {
        let (here, there) = (&self.read.examples, examples(tidied).examples);
        let mut pairs = here.iter().zip(&there);
        if let Some(place) =
            pairs.find_map(|(one, other)| first_difference(&one.piece, &other.piece))
        {
            return Err(Error::OtherMusic(place));
        }
        if here.len() == there.len() { Ok(()) } else { Err(Error::OtherMusic(Span::default())) }
    }

    /// The text with edits made.
    ///
    /// ```
    /// use cartella::{Document, Edit, Span};
    ///
    /// let document = Document::parse("title A duo\n");
    /// assert_eq!(document.with(&[Edit::new(Span::new(8, 11), "trio")]), "title A trio\n");
    /// ```
    pub fn with(&self, edits: &[Edit]) -> String {
        apply(&self.text, edits)
    }
}
