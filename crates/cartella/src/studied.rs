//! What a piece does, and the page about it.

use counterpoint::study::page::{self, PagePart};
use counterpoint::study::{self, RuleSet, Study};
use notation::{ItemId, with_editorial_signs};
use rudiments::Accidental;
use score::Sheet;

use crate::{Aligned, BarLength, Document, Example};

impl Aligned<'_> {
    /// What the piece does: dissonances and what the rules say of them, subjects and entries, cadences,
    /// the signs that singers would have added, the mode.
    ///
    /// ```
    /// use cartella::{BarLength, Document, RuleSet};
    ///
    /// let text = "voice Cantus clef C1\n  sb _ mn _ sb D5 mn C lg D //\n\
    ///             voice Tenor clef C4\n  sb D4 F E lg D //\n";
    /// let document = Document::parse(text);
    /// let study = document.score(BarLength::Breve).study(RuleSet::About1560);
    /// assert_eq!(study.cadences[0].goal.to_string(), "D5");
    /// assert_eq!(study.accidentals[0].pitch.to_string(), "C#5");
    /// ```
    pub fn study(&self, rules: RuleSet) -> Study {
        study::study(self.example().piece(), &self.score, rules)
    }

    /// The page that a teacher would write about it, without some of its parts.
    ///
    /// ```
    /// use cartella::{BarLength, Document, PagePart, RuleSet};
    ///
    /// let document = Document::parse("title A line\nvoice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// let aligned = document.score(BarLength::Breve);
    /// let page = aligned.page(&aligned.study(RuleSet::About1560), &[PagePart::Plan]);
    /// assert_eq!((page.title.as_str(), page.facts[0].as_str()), ("A line", "1 voice"));
    /// ```
    pub fn page(&self, study: &Study, without: &[PagePart]) -> Sheet {
        page::page(study, self.example().piece(), &self.score, without)
    }

    /// Marks the score with what a study says of it: entries in brackets, cadential semibreves shaded,
    /// the letter of each role at its note, circles round untreated dissonances.
    ///
    /// ```
    /// use cartella::{BarLength, Document, RuleSet};
    ///
    /// let text = "voice Cantus clef C1\n  sb _ mn _ sb D5 mn C lg D //\n\
    ///             voice Tenor clef C4\n  sb D4 F E lg D //\n";
    /// let document = Document::parse(text);
    /// let mut aligned = document.score(BarLength::Breve);
    /// aligned.annotate(&aligned.study(RuleSet::About1560));
    /// assert_eq!(aligned.score.annotations.shades.len(), 1);
    /// ```
    pub fn annotate(&mut self, study: &Study) {
        page::annotate(study, &mut self.score);
    }

    /// The text of the document with the certain signs of a study, `[#]` and `[b]`, at the notes of this
    /// example; all else stays as it is.
    ///
    /// ```
    /// use cartella::{BarLength, Document, RuleSet};
    ///
    /// let text = "voice Cantus clef C1\n  sb _ mn _ sb D5 mn C lg D //\n\
    ///             voice Tenor clef C4\n  sb D4 F E lg D //\n";
    /// let document = Document::parse(text);
    /// let aligned = document.score(BarLength::Breve);
    /// let signed = aligned.with_accidentals(&aligned.study(RuleSet::About1560));
    /// assert_eq!(signed, text.replace("mn C", "mn C[#]"));
    /// ```
    pub fn with_accidentals(&self, study: &Study) -> String {
        let certain = study.accidentals.iter().filter(|proposed| proposed.is_certain());
        let signs: Vec<(ItemId, Accidental)> = certain
            .filter_map(|proposed| {
                let voice = self.score.voices.get(proposed.event.voice)?;
                Some((voice.events.get(proposed.event.event)?.item?, proposed.sign))
            })
            .collect();
        let Example { document, parsed } = self.example();
        document.with(&with_editorial_signs(document.text(), parsed, &signs))
    }
}

impl Document {
    /// The study of the first example: see [`Aligned::study`].
    ///
    /// ```
    /// use cartella::{Document, RuleSet};
    ///
    /// let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
    /// assert_eq!(document.study(RuleSet::default()).cadences, []);
    /// ```
    pub fn study(&self, rules: RuleSet) -> Study {
        self.score(BarLength::Breve).study(rules)
    }
}
