//! The page that a teacher would write about a piece: what it does, in the order in which one asks.
//!
//! It is made of plain parts of text, tables and drawings, for a terminal as for paper. What is
//! uncertain stands last.

mod cadences;
mod dissonances;
mod drawings;
mod practise;
mod subjects;
mod texture;
mod uncertain;
mod words;

use notation::Piece;
use score::{Score, Sheet, SheetBody, SheetPart};

use super::Study;
use crate::kinds::named;
pub use drawings::annotate;
use words::facts;

named! {
    /// The parts of the page, in their order.
    pub enum PagePart {
        /// The subjects, with their syllables.
        Subjects = "subjects",
        /// The entries, one a line.
        Entries = "entries",
        /// The cadences, with what enters upon them.
        Cadences = "cadences",
        /// How many voices sound where.
        Texture = "texture",
        /// The figures of dissonance, counted, and what is untreated.
        Dissonance = "dissonance",
        /// What the rules forbid, and what they allow at times.
        Faults = "faults",
        /// Three things to practise.
        Practise = "practise",
        /// What is proposed, not known: signs, the mode.
        Uncertain = "uncertain",
        /// The plan of the piece.
        Plan = "plan",
        /// The subject and its answer alone, with the intervals between them.
        Reduction = "reduction",
        /// The cadences in a few bars each.
        Cards = "cards",
    }
}

impl PagePart {
    /// The part of a name.
    pub fn from_name(name: &str) -> Option<PagePart> {
        PagePart::ALL.iter().copied().find(|part| part.name() == name)
    }

    /// Its heading.
    fn heading(self) -> String {
        let mut letters = self.name().chars();
        letters
            .next()
            .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
    }
}

/// The page about a piece, without the parts that are not wanted. A part with nothing to say says so,
/// but a drawing of nothing is left out.
pub fn page(study: &Study, piece: &Piece, score: &Score, without: &[PagePart]) -> Sheet {
    let about = About { study, piece, score };
    let wanted = PagePart::ALL.iter().filter(|part| !without.contains(part));
    let parts = wanted.filter_map(|part| {
        let body = about.part(*part)?;
        Some(SheetPart { heading: part.heading(), body })
    });
    let heading = &score.heading;
    let title = heading.title.as_ref().or(heading.example.as_ref()).or(heading.file.as_ref());
    Sheet {
        title: title.cloned().unwrap_or_default(),
        facts: facts(&about),
        parts: parts.collect(),
    }
}

/// What the page is about.
#[derive(Clone, Copy)]
struct About<'a> {
    study: &'a Study,
    piece: &'a Piece,
    score: &'a Score,
}

impl About<'_> {
    fn part(&self, part: PagePart) -> Option<SheetBody> {
        let text = |lines: Vec<String>| Some(SheetBody::Text(lines));
        match part {
            PagePart::Subjects => text(subjects::subjects(self)),
            PagePart::Entries => Some(subjects::entries(self)),
            PagePart::Cadences => Some(cadences::cadences(self)),
            PagePart::Texture => text(vec![texture::texture(self)]),
            PagePart::Dissonance => text(dissonances::dissonances(self)),
            PagePart::Faults => text(dissonances::faults(self)),
            PagePart::Practise => text(practise::practise(self)),
            PagePart::Uncertain => text(uncertain::uncertain(self)),
            PagePart::Plan => Some(SheetBody::Plan(drawings::plan(self))),
            PagePart::Reduction => drawings::reduction(self),
            PagePart::Cards => drawings::cards(self),
        }
    }
}

#[cfg(test)]
mod tests;
