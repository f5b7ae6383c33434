//! A document's voices side by side.

use counterpoint::Observation;
use counterpoint::mend::{self, Looked, Suggestion};
use notation::{Code, Diagnostic, Layout, octaves_asked_for};
use score::{
    BarLength, Basis, Collation, DecidedOctave, Excerpt, Merged, NoExcerpt, Report, Score, Side,
    align, decided_octaves, octaves, reckon,
};
use sound::Playing;

use crate::{Document, Example};

/// The voices of a document side by side, with bars.
///
/// ```
/// use cartella::{BarLength, Document};
///
/// let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
/// let aligned = document.score(BarLength::Breve);
/// assert_eq!(aligned.score.voices[0].events[1].onset.to_string(), "2");
/// ```
#[derive(Clone, Debug)]
pub struct Aligned<'d> {
    example: Example<'d>,
    /// The score; it has no voices where the piece has no music.
    pub score: Score,
    /// What is wrong or doubtful, from reading the example on, in the order of the text.
    pub diagnostics: Vec<Diagnostic>,
}

impl<'d> Aligned<'d> {
    pub(crate) fn new(example: Example<'d>, aligned: score::Aligned) -> Aligned<'d> {
        let mut diagnostics = example.diagnostics().to_vec();
        let asked = diagnostics.iter().any(|found| found.code == Code::OctaveUndecided);
        if asked {
            // The other voices are known by now, and say more about them.
            let piece = example.piece();
            let evidence = octaves(piece, &aligned.score);
            diagnostics.retain(|found| found.code != Code::OctaveUndecided);
            diagnostics.extend(octaves_asked_for(piece, &evidence));
        }
        diagnostics.extend(aligned.diagnostics);
        diagnostics.sort_by_key(|diagnostic| (diagnostic.span, diagnostic.code));
        Aligned { example, score: aligned.score, diagnostics }
    }

    /// The example whose score this is.
    ///
    /// ```
    /// use cartella::{BarLength, Document};
    ///
    /// let document = Document::parse("example 12\nvoice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// assert_eq!(document.score(BarLength::Breve).example().name(), Some("12"));
    /// ```
    pub fn example(&self) -> Example<'d> {
        self.example
    }

    /// Some bars or voices alone. What is wrong or doubtful is still that of the whole; a critical report
    /// is made of the whole, and cut by [`Report::within`].
    ///
    /// ```
    /// use cartella::{BarLength, Document, Excerpt, Options};
    ///
    /// let document = Document::parse("voice Cantus clef C1\n  sb A4 br B sb A lg C5 //\n");
    /// let second = document.score(BarLength::Breve).excerpt(&Excerpt::bars(2..=2))?;
    /// assert_eq!(second.score.bars[0].number, 2);
    /// assert!(second.arrangement(Options::default()).musicxml().is_ok());
    /// # Ok::<(), cartella::NoExcerpt>(())
    /// ```
    ///
    /// # Errors
    /// If the score has none of the bars, or none of the voices.
    pub fn excerpt(&self, wanted: &Excerpt) -> Result<Aligned<'d>, NoExcerpt> {
        let (score, diagnostics) = (wanted.of(&self.score)?, self.diagnostics.clone());
        Ok(Aligned { example: self.example, score, diagnostics })
    }

    /// How this piece is usually played; an excerpt of it is played in the same way, so that every voice
    /// keeps its seat. A line of the source is parted from the next, if the source has no bar lines.
    ///
    /// ```
    /// use cartella::{BarLength, Document, Tempo};
    ///
    /// let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// let usual = document.score(BarLength::Breve).playing();
    /// assert_eq!((usual.tempo, usual.seats.len()), (Tempo::USUAL, 1));
    /// ```
    pub fn playing(&self) -> Playing {
        let mut playing = Playing::of(&self.score);
        if self.example.piece().head.layout == Layout::Barred {
            playing.touch.line_end = 0.0;
        }
        playing
    }

    /// The octaves that are to be typed yet, where the other voices and the line of the voice itself
    /// speak for the same.
    ///
    /// ```
    /// use cartella::{BarLength, Document, apply};
    ///
    /// let text = "voice Cantus clef C1\n mn A4 C5 F4 A sb C5 mn A B lg A\n\
    ///             voice Altus clef C1\n mn F4 A D F sb E mn F A G4 lg F\n";
    /// let octaves = Document::parse(text).score(BarLength::Breve).octaves();
    /// assert_eq!(octaves[0].tone.to_string(), "D4");
    /// let typed = apply(text, &[octaves[0].edit.clone()]);
    /// assert!(typed.contains("mn F4 A D4 F"));
    /// ```
    pub fn octaves(&self) -> Vec<DecidedOctave> {
        let piece = self.example.piece();
        decided_octaves(piece, &octaves(piece, &self.score))
    }

    /// The critical report: what is emended, supplied, or left to be decided.
    ///
    /// ```
    /// use cartella::{BarLength, Document};
    ///
    /// let document = Document::parse("voice Cantus clef C1\n  sb A4 < B | C5 > lg C5 //\n");
    /// let report = document.score(BarLength::Breve).report();
    /// assert_eq!(report.entries[0].remark, "semibreve B4 in the source; emended to semibreve C5");
    /// ```
    pub fn report(&self) -> Report {
        score::report(self.example.piece(), &self.score)
    }

    /// Everything that the rules of counterpoint observe: intervals, dissonances and their figures,
    /// parallels, motions, finals, directs.
    ///
    /// ```
    /// use cartella::{BarLength, Document};
    ///
    /// let text = "voice Cantus clef C1\n sb A4 B lg C5 //\nvoice Tenor clef C4\n sb D4 E lg C4 //\n";
    /// let document = Document::parse(text);
    /// let aligned = document.score(BarLength::Breve);
    /// let seen = aligned.observations();
    /// let parallel = seen.iter().find(|seen| seen.what.rule() == "parallel").unwrap();
    /// let said = parallel.sentence(&aligned.score);
    /// assert_eq!(said, "bar 1, Cantus 2 and Tenor 2: parallel fifths");
    /// ```
    pub fn observations(&self) -> Vec<Observation> {
        counterpoint::observe(self.example.piece(), &self.score)
    }

    /// [`Example::mend`], by this score.
    ///
    /// ```
    /// use cartella::{BarLength, Document};
    ///
    /// let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// assert_eq!(document.score(BarLength::Breve).mend(), document.first().mend());
    /// ```
    pub fn mend(&self) -> Vec<Suggestion> {
        self.look().suggestions
    }

    /// [`Example::look`], by this score.
    pub fn look(&self) -> Looked {
        if self.example.has_errors() {
            return Looked::default();
        }
        mend::look(self.example.document.text(), self.example.piece(), &self.score)
    }

    /// What differs between this transcription, the left one, and another of the same.
    ///
    /// ```
    /// use cartella::{BarLength, Basis, Document};
    ///
    /// let [left, right] = ["A4", "B4"].map(|note| {
    ///     Document::parse(format!("voice Cantus clef C1\n  sb {note} B lg C5 //\n"))
    /// });
    /// let (left, right) = (left.score(BarLength::Breve), right.score(BarLength::Breve));
    /// let collated = left.collate(&right, Basis::Printed);
    /// assert_eq!(collated.collation.differences[0].kind.name(), "pitch");
    /// assert!(collated.merge().text.contains("<? A4 | B4 >"));
    /// ```
    pub fn collate<'s>(&'s self, right: &'s Aligned<'_>, basis: Basis) -> Collated<'s> {
        let collation = score::collate(self.side(), right.side(), basis);
        Collated { left: self.example, collation }
    }

    fn side(&self) -> Side<'_> {
        Side { piece: self.example.piece(), score: &self.score }
    }
}

/// Two transcriptions, compared.
///
/// ```
/// use cartella::{BarLength, Basis, Document};
///
/// let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
/// let aligned = document.score(BarLength::Breve);
/// let collated = aligned.collate(&aligned, Basis::Sounding);
/// assert_eq!((collated.collation.compared, collated.collation.differences.len()), (3, 0));
/// ```
#[derive(Clone, Debug)]
pub struct Collated<'s> {
    pub(crate) left: Example<'s>,
    /// What differs.
    pub collation: Collation<'s>,
}

impl Collated<'_> {
    /// The left text with what differs as variants, `<? A | B >`, where two parts files were compared
    /// as printed. See [`Aligned::collate`], and [`crate::Document::merge`] for several examples.
    ///
    /// ```
    /// # use cartella::{BarLength, Basis, Document};
    /// # let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// # let aligned = document.score(BarLength::Breve);
    /// let merged = aligned.collate(&aligned, Basis::Printed).merge();
    /// assert_eq!(merged.text, document.text());
    /// ```
    pub fn merge(&self) -> Merged {
        score::merge(self.left.document.text(), self.left.parsed, &self.collation)
    }
}

impl<'d> Example<'d> {
    /// The voices side by side, with bars, and what reading, counting and aligning noticed.
    ///
    /// ```
    /// use cartella::{BarLength, Document};
    ///
    /// let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// assert_eq!(document.first().score(BarLength::Breve).score.bars.len(), 2);
    /// ```
    pub fn score(self, bar: BarLength) -> Aligned<'d> {
        let piece = self.piece();
        Aligned::new(self, align(piece, reckon(piece), bar))
    }

    /// The same with everything else that can be said of the piece: signs that seem to be missing,
    /// clefs that ask for a transposition, and what hands that span `reach` cannot reach (9 is a
    /// ninth).
    ///
    /// ```
    /// use cartella::{BarLength, Document};
    ///
    /// let text = "voice Cantus clef C1\n  sb A4 B lg C5\nvoice Bassus clef F4\n  sb D3 lg C3\n";
    /// let document = Document::parse(text);
    /// let checked = document.first().check(BarLength::Breve, 9).diagnostics;
    /// assert!(checked.iter().any(|found| found.message.contains("Bassus")), "{checked:?}");
    /// ```
    pub fn check(self, bar: BarLength, reach: u32) -> Aligned<'d> {
        Aligned::new(self, score::check(self.piece(), bar, reach))
    }
}

impl Document {
    /// The score of the first example: see [`Example::score`].
    ///
    /// ```
    /// use cartella::{BarLength, Document};
    ///
    /// let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// assert_eq!(document.score(BarLength::Breve).score.bars.len(), 2);
    /// ```
    pub fn score(&self, bar: BarLength) -> Aligned<'_> {
        self.first().score(bar)
    }

    /// The text with what differs in its examples as variants, `<? A | B >`, where parts files were
    /// compared as printed; each comparison is of an example of this document with another.
    ///
    /// ```
    /// use cartella::{BarLength, Basis, Document};
    ///
    /// let text = "example 1\nvoice A clef C1\n  mn D4 E\nexample 2\nvoice A clef C1\n  mn F4 G\n";
    /// let [left, right] = [text, &text.replace('E', "F").replace('G', "A")].map(Document::parse);
    /// let scores = |document| Document::examples(document).map(|one| one.score(BarLength::Breve));
    /// let (left_scores, right_scores): (Vec<_>, Vec<_>) = (scores(&left).collect(), scores(&right).collect());
    /// let pairs = left_scores.iter().zip(&right_scores);
    /// let compared: Vec<_> = pairs.map(|(left, right)| left.collate(right, Basis::Printed)).collect();
    /// let merged = left.merge(&compared).text;
    /// assert!(merged.contains("D4 <? E | F4 >") && merged.contains("F4 <? G | A4 >"), "{merged}");
    /// ```
    pub fn merge(&self, compared: &[Collated<'_>]) -> Merged {
        let own = compared.iter().filter(|one| std::ptr::eq(one.left.document, self));
        let own: Vec<_> = own.map(|one| (one.left.parsed, &one.collation)).collect();
        score::merge_all(self.text(), &own)
    }
}
