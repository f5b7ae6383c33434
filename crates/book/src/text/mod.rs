//! The text of a book: chapters, paragraphs, footnotes, and the examples that stand in it.

mod options;
mod read;

use std::collections::BTreeMap;

pub(crate) use options::{FigureOptions, PaperSize, TextOptions, Width};
pub(crate) use read::read;

use crate::fault::Place;

/// The text of a whole book.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Manuscript {
    /// The title.
    pub(crate) title: Vec<Inline>,
    /// What stands under it on the title page: a stressed paragraph that follows it at once.
    pub(crate) subtitle: Vec<Inline>,
    /// What is said of the whole book in braces behind the title.
    pub(crate) options: TextOptions,
    /// The chapters; the first has no title where text stands before the first of them.
    pub(crate) chapters: Vec<Chapter>,
    /// All examples, in the order of the text.
    pub(crate) figures: Vec<Figure>,
    /// All footnotes, in the order in which they are referred to.
    pub(crate) notes: Vec<Note>,
}

/// A chapter.
#[derive(Clone, PartialEq, Debug, Default)]
pub(crate) struct Chapter {
    /// Its title; empty for what stands before the first chapter.
    pub(crate) title: Vec<Inline>,
    /// Its number, from 1; nothing for what stands before the first.
    pub(crate) number: Option<u32>,
    /// Its name in addresses.
    pub(crate) slug: String,
    /// Whether the critical notes of all its examples stand at its end.
    pub(crate) report: bool,
    pub(crate) blocks: Vec<Block>,
}

/// What stands one below the other.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Block {
    /// A heading below that of the chapter: 1 for the first level.
    Heading {
        level: u8,
        text: Vec<Inline>,
        slug: String,
    },
    Paragraph(Vec<Inline>),
    Quote(Vec<Block>),
    /// A list, with the number of its first item where it is numbered.
    List {
        first: Option<u64>,
        items: Vec<Vec<Block>>,
    },
    Table {
        head: Vec<Vec<Inline>>,
        rows: Vec<Vec<Vec<Inline>>>,
    },
    Code(String),
    Rule,
    /// Examples that were typed in one paragraph, by their places in [`Manuscript::figures`].
    Figures(Vec<usize>),
}

/// What stands in a line.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Inline {
    Text(String),
    Emphasis(Vec<Inline>),
    Strong(Vec<Inline>),
    Code(String),
    /// The end of a line that the author wants.
    Break,
    Link {
        to: Target,
        text: Vec<Inline>,
        by_page: bool,
        place: Place,
    },
    /// The number of a footnote, by its place in [`Manuscript::notes`].
    Note(usize),
    /// An example, which is taken out of its paragraph once that is read.
    Figure(usize),
}

/// Where a link leads.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(crate) enum Target {
    /// As it was typed, and is still to be looked up.
    Typed(String),
    /// Outside the book.
    Address(String),
    /// An example, by its place in [`Manuscript::figures`].
    Figure(usize),
    /// A chapter, by its place.
    Chapter(usize),
    /// A heading of a chapter.
    Heading(usize, String),
    /// Nowhere: there is no such thing.
    Nowhere,
}

/// An example in the text.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Figure {
    /// As it was typed: `chapter-4.parts#12`.
    pub(crate) reference: String,
    /// The parts file, and the example in it.
    pub(crate) file: String,
    pub(crate) name: Option<String>,
    pub(crate) caption: Vec<Inline>,
    pub(crate) options: FigureOptions,
    pub(crate) place: Place,
    /// The chapter, by its place.
    pub(crate) chapter: usize,
    /// Its number in the book: `4.12`, or `31`.
    pub(crate) number: String,
    /// Its name in addresses, which stays when numbers change.
    pub(crate) slug: String,
}

/// A footnote.
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct Note {
    pub(crate) label: String,
    pub(crate) blocks: Vec<Block>,
    pub(crate) place: Place,
    /// The chapter in which it is referred to, and its number there, from 1.
    pub(crate) chapter: usize,
    pub(crate) number: u32,
    /// The note of music at which it points.
    pub(crate) at: Option<Pointed>,
}

/// A note or rest of an example.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Pointed {
    /// The example, by its place in [`Manuscript::figures`].
    pub(crate) figure: usize,
    pub(crate) voice: String,
    /// Its number among the printed notes and rests of the voice, from 1.
    pub(crate) index: u32,
}

/// The words of some inlines, without their looks.
pub(crate) fn plain(inlines: &[Inline]) -> String {
    let mut text = String::new();
    add_plain(inlines, &mut text);
    text
}

fn add_plain(inlines: &[Inline], text: &mut String) {
    for inline in inlines {
        match inline {
            Inline::Text(words) | Inline::Code(words) => text.push_str(words),
            Inline::Emphasis(inner) | Inline::Strong(inner) | Inline::Link { text: inner, .. } => {
                add_plain(inner, text);
            }
            Inline::Break => text.push(' '),
            Inline::Note(_) | Inline::Figure(_) => {}
        }
    }
}

/// Names for addresses: small letters and figures with hyphens between them, each once.
#[derive(Default)]
pub(crate) struct Slugs(BTreeMap<String, u32>);

impl Slugs {
    /// A name for these words.
    pub(crate) fn of(&mut self, words: &str) -> String {
        let mut slug = String::new();
        for character in words.chars().flat_map(char::to_lowercase) {
            if character.is_alphanumeric() {
                slug.push(character);
            } else if !slug.ends_with('-') && !slug.is_empty() {
                slug.push('-');
            }
        }
        let slug = slug.trim_end_matches('-');
        let slug = if slug.is_empty() { "part" } else { slug }.to_owned();
        let count = self.0.entry(slug.clone()).or_default();
        *count += 1;
        let count = *count;
        if count == 1 { slug } else { self.of(&format!("{slug}-{count}")) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_for_addresses_differ() {
        let mut slugs = Slugs::default();
        assert_eq!(slugs.of("Of Duos, and more"), "of-duos-and-more");
        assert_eq!(slugs.of("Of duos and more!"), "of-duos-and-more-2");
        assert_eq!(slugs.of("…"), "part");
        assert_eq!(slugs.of("Über Fugen"), "über-fugen");
    }
}
