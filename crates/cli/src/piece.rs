//! A parts file on its way to a score.

use std::path::Path;

use notation::{LARGEST_TEXT, Parsed, parse, text_of};
use score::{Aligned, BarLength, align, check, first_difference, reckon};

use crate::arguments::Minim;
use crate::files::{self, Failure};
use crate::report::Source;

/// A parts file that was read.
pub(crate) struct Loaded {
    /// Its name in messages, on one line.
    pub(crate) name: String,
    pub(crate) text: String,
    pub(crate) parsed: Parsed,
}

impl Loaded {
    /// Reads and parses a file; only what cannot be read at all is a failure.
    pub(crate) fn read(path: &Path) -> Result<Loaded, Failure> {
        let bytes = files::read(path, LARGEST_TEXT)?;
        let name = files::shown(path);
        Ok(match text_of(&bytes) {
            Ok(text) => Loaded::of(name, text.to_owned()),
            Err(wrong) => {
                // The place of the bytes that are no text is still a place of what is shown.
                let text = String::from_utf8_lossy(&bytes).into_owned();
                let mut parsed = parse("");
                parsed.diagnostics = vec![*wrong];
                Loaded { name, text, parsed }
            }
        })
    }

    /// Parses a text of some name.
    pub(crate) fn of(name: String, text: String) -> Loaded {
        Loaded { name, parsed: parse(&text), text }
    }

    /// The score, and everything that reading, counting and aligning noticed, in the order of the
    /// text.
    pub(crate) fn align(&self, bar: BarLength) -> Aligned {
        let piece = &self.parsed.piece;
        self.with_parsing(align(piece, reckon(piece), bar))
    }

    /// The score, and everything that can be said of the file, in the order of the text.
    pub(crate) fn check(&self, bar: BarLength, reach: u32) -> Aligned {
        self.with_parsing(check(&self.parsed.piece, bar, reach))
    }

    fn with_parsing(&self, aligned: Aligned) -> Aligned {
        let mut diagnostics = self.parsed.diagnostics.clone();
        diagnostics.extend(aligned.diagnostics);
        diagnostics.sort_by_key(|diagnostic| (diagnostic.span, diagnostic.code));
        Aligned { score: aligned.score, diagnostics }
    }

    /// Whether a text that was spelled anew is still the same music, before it takes the place of
    /// this one.
    ///
    /// # Errors
    /// With the place where it is not.
    pub(crate) fn must_be_the_music_of(&self, text: &str) -> Result<(), Failure> {
        match first_difference(&self.parsed.piece, &parse(text).piece) {
            None => Ok(()),
            Some(place) => {
                let (name, (line, column)) = (&self.name, self.source().place(place));
                Err(Failure::Said(format!(
                    "{name}: its canonical form would be other music at line {line}, column \
                     {column}, so the file is left as it is; this is a fault of the program"
                )))
            }
        }
    }

    pub(crate) fn source(&self) -> Source<'_> {
        Source::new(&self.name, &self.text)
    }
}

/// The note that stands for the minim, as the reader of scores takes it.
pub(crate) fn musicxml_minim(minim: Minim) -> exchange::Minim {
    match minim {
        Minim::Half => exchange::Minim::Half,
        Minim::Quarter => exchange::Minim::Quarter,
    }
}
