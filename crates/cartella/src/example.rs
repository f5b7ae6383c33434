//! One of the examples of a document.

use counterpoint::mend::{self, Looked, Suggestion};
use notation::{
    Change, Diagnostic, Edit, Facsimile, ItemId, Manner, Parsed, Piece, Spelling, with_facsimiles,
};
use score::BarLength;

use crate::{Document, Error};

/// One of the examples of a document.
///
/// ```
/// let document = cartella::Document::parse("voice Cantus clef C1\n  sb A4 B lg C5\n");
/// assert_eq!(document.first().piece().voices[0].name, "Cantus");
/// ```
#[derive(Clone, Copy, Debug)]
pub struct Example<'d> {
    pub(crate) document: &'d Document,
    pub(crate) parsed: &'d Parsed,
}

impl<'d> Example<'d> {
    /// The document that it stands in.
    ///
    /// ```
    /// let document = cartella::Document::parse("title A duo");
    /// assert_eq!(document.first().document().text(), "title A duo");
    /// ```
    pub fn document(self) -> &'d Document {
        self.document
    }

    /// Its name; none in a document without `example` lines.
    ///
    /// ```
    /// let document = cartella::Document::parse("example 12\nvoice Cantus clef C1\n  sb A4 B\n");
    /// assert_eq!(document.first().name(), Some("12"));
    /// ```
    pub fn name(self) -> Option<&'d str> {
        self.parsed.name()
    }

    /// What it says, voice by voice as printed.
    ///
    /// ```
    /// let document = cartella::Document::parse("voice Cantus clef C1\n  sb A4 B\n");
    /// assert_eq!(document.first().piece().voices[0].items.len(), 2);
    /// ```
    pub fn piece(self) -> &'d Piece {
        &self.parsed.piece
    }

    /// What is wrong or doubtful in its text by itself, without [`Document::shared_diagnostics`].
    ///
    /// ```
    /// let document = cartella::Document::parse("voice Cantus clef C1\n  sb D A4\n");
    /// assert_eq!(document.first().diagnostics()[0].message, "D has two places on this staff");
    /// ```
    pub fn diagnostics(self) -> &'d [Diagnostic] {
        &self.parsed.diagnostics
    }

    /// Whether it has errors, or what holds for all examples has.
    ///
    /// ```
    /// let text = "example 1\nvoice A clef C1\n  sb A4\nexample 2\nvoice A clef C1\n  sb H4\n";
    /// let document = cartella::Document::parse(text);
    /// assert!(!document.example("1").unwrap().has_errors());
    /// assert!(document.example("2").unwrap().has_errors());
    /// ```
    pub fn has_errors(self) -> bool {
        let shared = self.document.shared_diagnostics();
        self.parsed.has_errors() || shared.iter().any(Diagnostic::is_error)
    }

    /// The text of the document with this example in canonical form, and all else as it is.
    ///
    /// ```
    /// use cartella::{Document, Spelling};
    ///
    /// let text = "example 1\nvoice A clef C1\nsb A4 B\n\nexample 2\nvoice A clef C1\nsb A4 B\n";
    /// let document = Document::parse(text);
    /// let tidied = document.first().tidy(Spelling::default())?;
    /// assert_eq!(tidied, text.replacen("A clef C1\nsb", "A  clef C1\n  sb", 1));
    /// # Ok::<(), cartella::Error>(())
    /// ```
    ///
    /// # Errors
    /// As [`Document::tidy`].
    pub fn tidy(self, spelling: Spelling) -> Result<String, Error> {
        let document = self.document;
        let Some(name) = self.name() else { return document.tidy(spelling) };
        let tidied = notation::tidy_example(document.text(), name, spelling);
        let tidied = tidied.map_err(Error::Faulty)?.unwrap_or_else(|| document.text().to_owned());
        document.must_be_the_music_of(&tidied)?;
        Ok(tidied)
    }

    /// Where a slip most likely is, and what it was: at most ten suggestions, the most likely first.
    /// What cannot be read cannot be weighed: there are none where the text has errors.
    ///
    /// ```
    /// let text = "voice Cantus clef C1\n  sb A4 B lg A\nvoice Tenor clef C4\n  sb D3 lg D3\n";
    /// for slip in cartella::Document::parse(text).first().mend() {
    ///     println!("{}: {} ({:.2}); {}", slip.name, slip.change(), slip.confidence, slip.reason);
    /// }
    /// ```
    pub fn mend(self) -> Vec<Suggestion> {
        self.look().suggestions
    }

    /// The same, with what no likely slip explains: two fifths or octaves in a row, and one
    /// untreated dissonance after another.
    ///
    /// ```
    /// use cartella::{BarLength, Document};
    ///
    /// let text = "voice Cantus clef C1\n  sb A4 B C5 lg A\nvoice Tenor clef C4\n  sb D4 E A3 lg D4\n";
    /// let document = Document::parse(text);
    /// let aligned = document.score(BarLength::Breve);
    /// for fault in document.first().look().unexplained {
    ///     println!("{}", fault.sentence(&aligned.score));
    /// }
    /// ```
    pub fn look(self) -> Looked {
        self.score(BarLength::Breve).look()
    }

    /// The edits of the document that make a change at an event that is read, in some manner. All other
    /// bytes stay, and everything else still means what it did: values in force, notes that complete
    /// others and letters without octaves are seen to.
    ///
    /// Nothing where the change cannot be made there in that manner, where it changes nothing, or where
    /// the text with it would not be read as just that.
    ///
    /// ```
    /// use cartella::{Accidental, Change, Document, Manner, NewEvent, Step, Tone, Value};
    ///
    /// let document = Document::parse("voice Cantus clef C1\n  mn A4 B sb C5 mn B4 A lg G\n");
    /// let example = document.first();
    /// let changed = |number: u32, change: Change, manner: Manner| {
    ///     let event = example.piece().numbered("Cantus", number).unwrap();
    ///     let text = document.with(&example.change(event, &change, manner).unwrap());
    ///     text.lines().nth(1).unwrap().trim().to_owned()
    /// };
    ///
    /// // The third event is a D5: a typist's slip, or one of the source; or that is yet undecided.
    /// let tone = Change::Tone(Tone::new(Step::D, 5));
    /// assert_eq!(changed(3, tone.clone(), Manner::Retyped), "mn A4 B sb D5 mn B4 A lg G");
    /// assert_eq!(changed(3, tone.clone(), Manner::Emended), "mn A4 B sb < C5 | D5 > mn B4 A lg G");
    /// assert_eq!(changed(3, tone, Manner::Variant), "mn A4 B sb <? C5 | D5 > mn B4 A lg G");
    ///
    /// // A rest was left out before the second, or a note is supplied there.
    /// let rest = Change::Insert(vec![NewEvent::rest(Value::Minim)]);
    /// assert_eq!(changed(2, rest, Manner::Retyped), "mn A4 _ B sb C5 mn B4 A lg G");
    /// let note = Change::Insert(vec![NewEvent::note(Value::Minim, Tone::new(Step::G, 4))]);
    /// assert_eq!(changed(2, note, Manner::Supplied), "mn A4 [ mn G4 ] B sb C5 mn B4 A lg G");
    ///
    /// // The fourth lasts longer; what follows keeps its value.
    /// let value = Change::Value { value: Value::Breve, dotted: false };
    /// assert_eq!(changed(4, value, Manner::Retyped), "mn A4 B sb C5 br B4 mn A lg G");
    ///
    /// // An editorial sharp above the last, and the fourth is one too many.
    /// let sharp = Change::EditorialSign(Some(Accidental::Sharp));
    /// assert_eq!(changed(6, sharp, Manner::Retyped), "mn A4 B sb C5 mn B4 A lg G[#]");
    /// assert_eq!(changed(4, Change::Delete, Manner::Retyped), "mn A4 B sb C5 mn A lg G");
    /// ```
    pub fn change(self, at: ItemId, change: &Change, manner: Manner) -> Option<Vec<Edit>> {
        score::change(self.document.text(), self.parsed, at, change, manner)
    }

    /// The edits that say in the head where lines of the source stand in pictures. Nothing where the text
    /// with them would not be read as just that.
    ///
    /// ```
    /// use cartella::{Document, Facsimile, Span};
    ///
    /// let document = Document::parse("title A duo\nvoice Cantus clef C1\n  sb A4 B\n");
    /// let (file, span) = ("cantus.png".to_owned(), Span::default());
    /// let (x, y, width, height) = (120.0, 340.0, 1800.0, 150.0);
    /// let first =
    ///     Facsimile { voice: Some(0), line: 1, file, page: 1, x, y, width, height, angle: 0.0, span };
    /// let text = document.with(&document.first().facsimiles(&[first]).unwrap());
    /// assert!(text.contains("facsimile Cantus 1 cantus.png 1 120 340 1800 150 0\n"));
    /// ```
    pub fn facsimiles(self, boxes: &[Facsimile]) -> Option<Vec<Edit>> {
        with_facsimiles(self.document.text(), self.parsed, boxes)
    }

    /// The edits that type what a suggestion reads: the slip was the typist's. Nothing where it cannot
    /// be typed by itself.
    ///
    /// ```
    /// let text = "voice Cantus clef C1\n  sb A4 B C5 D lg D\n\
    ///             voice Tenor clef C4\n  sb D3 mn E sb F D lg D3\n";
    /// let document = cartella::Document::parse(text);
    /// let example = document.first();
    /// let slip = &example.mend()[0];
    /// let retyped = document.with(&example.retype(slip).unwrap());
    /// assert!(retyped.len() != text.len() && retyped.contains(&slip.read), "{retyped}");
    /// ```
    pub fn retype(self, suggestion: &Suggestion) -> Option<Vec<Edit>> {
        mend::retype(self.document.text(), self.parsed, suggestion)
    }

    /// The edits that write a suggestion as an emendation: the source was seen to be wrong. Nothing
    /// where it cannot be written by itself.
    ///
    /// ```
    /// let text = "voice Cantus clef C1\n  sb A4 B C5 D lg D\n\
    ///             voice Tenor clef C4\n  sb D3 mn E sb F D lg D3\n";
    /// let document = cartella::Document::parse(text);
    /// let example = document.first();
    /// let emended = document.with(&example.emend(&example.mend()[0]).unwrap());
    /// assert!(emended.contains(" | ") || emended.contains('['), "{emended}");
    /// ```
    pub fn emend(self, suggestion: &Suggestion) -> Option<Vec<Edit>> {
        mend::emend(self.document.text(), self.parsed, suggestion)
    }
}

impl Document {
    /// The examples, in order. There is at least one: a text without `example` lines is one without a
    /// name.
    ///
    /// ```
    /// let document = cartella::Document::parse("voice Cantus clef C1\n  sb A4 B\n");
    /// assert_eq!(document.examples().len(), 1);
    /// ```
    pub fn examples(&self) -> impl ExactSizeIterator<Item = Example<'_>> {
        self.read.examples.iter().map(|parsed| Example { document: self, parsed })
    }

    /// The example of that name.
    ///
    /// ```
    /// let document = cartella::Document::parse("example 12\nvoice Cantus clef C1\n  sb A4 B\n");
    /// assert!(document.example("12").is_some() && document.example("13").is_none());
    /// ```
    pub fn example(&self, name: &str) -> Option<Example<'_>> {
        self.examples().find(|example| example.name() == Some(name))
    }

    /// The first example; of most documents the only one.
    ///
    /// ```
    /// let document = cartella::Document::parse("voice Cantus clef C1\n  sb A4 B\n");
    /// assert_eq!(document.first().piece().voices[0].items.len(), 2);
    /// ```
    pub fn first(&self) -> Example<'_> {
        Example { document: self, parsed: &self.read.examples[0] }
    }
}
