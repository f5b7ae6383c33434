//! Numbers of examples, and what links and footnotes lead to.

use crate::fault::Fault;
use crate::language::Words;
use crate::text::{Block, Chapter, Figure, Inline, Manuscript, Note, Pointed, Target};

/// Numbers the examples, looks up every link, and finds the notes of music at which footnotes point.
pub(crate) fn number(manuscript: &mut Manuscript, faults: &mut Vec<Fault>) {
    figures(manuscript, faults);
    point(manuscript, faults);
    let mut links = Links::of(manuscript);
    let looked_up = |blocks: &mut Vec<Block>, chapter: usize, links: &mut Links| {
        links.chapter = chapter;
        for block in blocks {
            links.block(block);
        }
    };
    for (place, chapter) in manuscript.chapters.iter_mut().enumerate() {
        looked_up(&mut chapter.blocks, place, &mut links);
        links.inlines(&mut chapter.title);
    }
    for note in &mut manuscript.notes {
        looked_up(&mut note.blocks, note.chapter, &mut links);
    }
    for figure in &mut manuscript.figures {
        links.chapter = figure.chapter;
        links.inlines(&mut figure.caption);
    }
    faults.append(&mut links.faults);
}

fn figures(manuscript: &mut Manuscript, faults: &mut Vec<Fault>) {
    let through = manuscript.options.through;
    let (mut in_book, mut in_chapter, mut chapter) = (0, 0, usize::MAX);
    for place in 0..manuscript.figures.len() {
        let figure = &manuscript.figures[place];
        if figure.chapter != chapter {
            (chapter, in_chapter) = (figure.chapter, 0);
        }
        (in_book, in_chapter) = (in_book + 1, in_chapter + 1);
        let same = |other: &&Figure| {
            other.reference == figure.reference && other.options == figure.options
        };
        if let Some(first) = manuscript.figures[..place].iter().find(same) {
            let message = format!(
                "{} stands in the book already, at {}: refer to it with [](<{}>)",
                figure.reference, first.place, figure.reference
            );
            faults.push(Fault { place: figure.place.clone(), message });
        }
        let number = match manuscript.chapters[chapter].number {
            Some(chapter) if !through => format!("{chapter}.{in_chapter}"),
            None if !through => in_chapter.to_string(),
            _ => in_book.to_string(),
        };
        manuscript.figures[place].number = number;
    }
}

/// Takes the beginning of footnotes that point into an example: `Tenor:17`, or `12/Tenor:17`.
fn point(manuscript: &mut Manuscript, faults: &mut Vec<Fault>) {
    let latest = latest_figures(manuscript);
    let figures = &manuscript.figures;
    for (place, note) in manuscript.notes.iter_mut().enumerate() {
        let Some(Block::Paragraph(inlines)) = note.blocks.first_mut() else { continue };
        let Some(Inline::Text(text)) = inlines.first_mut() else { continue };
        let Some((example, voice, index, rest)) = pointer(text) else { continue };
        let found = match &example {
            None => latest[place],
            Some(name) => named(figures, name, note.chapter),
        };
        let Some(figure) = found else {
            faults.push(Fault { place: note.place.clone(), message: lost(example.as_deref()) });
            continue;
        };
        note.at = Some(Pointed { figure, voice, index });
        *text = rest;
    }
}

fn lost(example: Option<&str>) -> String {
    match example {
        Some(name) => format!("there is no example {name} in the book"),
        None => "the footnote points into an example, but none stands near it: type the name of one, as in \
                 12/Tenor:17"
            .to_owned(),
    }
}

/// The example of that name: in the chapter, or else in the book.
fn named(figures: &[Figure], name: &str, chapter: usize) -> Option<usize> {
    let is_it = |figure: &Figure| figure.name.as_deref() == Some(name) || figure.reference == name;
    let in_chapter = figures.iter().position(|one| one.chapter == chapter && is_it(one));
    in_chapter.or_else(|| figures.iter().position(is_it))
}

/// What a footnote points at, and its text behind that.
fn pointer(text: &str) -> Option<(Option<String>, String, u32, String)> {
    let (word, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    let (before, index) = word.trim_end_matches([',', '.', ';']).rsplit_once(':')?;
    let index: u32 = index.parse().ok().filter(|index| *index > 0)?;
    let (example, voice) = match before.rsplit_once('/') {
        Some((example, voice)) => (Some(example.to_owned()), voice),
        None => (None, before),
    };
    let is_name = voice.starts_with(char::is_alphabetic);
    is_name.then(|| (example, voice.to_owned(), index, rest.trim_start().to_owned()))
}

/// Of each footnote, the example that stands next to it: the one in whose caption it is referred to, or the last
/// before it, or the first after it in the chapter.
fn latest_figures(manuscript: &Manuscript) -> Vec<Option<usize>> {
    let mut latest = vec![None; manuscript.notes.len()];
    for (place, chapter) in manuscript.chapters.iter().enumerate() {
        let mut order = Vec::new();
        chapter.blocks.iter().for_each(|block| in_order(block, &manuscript.figures, &mut order));
        let first = manuscript.figures.iter().position(|figure| figure.chapter == place);
        let mut last = None;
        for seen in order {
            match seen {
                Seen::Figure(figure) => last = Some(figure),
                Seen::Note(note) => {
                    if latest[note].is_none() {
                        latest[note] = last.or(first);
                    }
                }
            }
        }
    }
    latest
}

enum Seen {
    Figure(usize),
    Note(usize),
}

fn in_order(block: &Block, figures: &[Figure], order: &mut Vec<Seen>) {
    match block {
        Block::Paragraph(text) | Block::Heading { text, .. } => notes_of(text, order),
        Block::Quote(blocks) => blocks.iter().for_each(|block| in_order(block, figures, order)),
        Block::List { items, .. } => {
            items.iter().flatten().for_each(|block| in_order(block, figures, order));
        }
        Block::Table { head, rows } => {
            head.iter().chain(rows.iter().flatten()).for_each(|cell| notes_of(cell, order));
        }
        Block::Figures(all) => {
            for figure in all {
                order.push(Seen::Figure(*figure));
                notes_of(&figures[*figure].caption, order);
            }
        }
        Block::Code(_) | Block::Rule => {}
    }
}

fn notes_of(inlines: &[Inline], order: &mut Vec<Seen>) {
    for inline in inlines {
        match inline {
            Inline::Note(note) => order.push(Seen::Note(*note)),
            Inline::Emphasis(inner) | Inline::Strong(inner) => notes_of(inner, order),
            Inline::Link { text, .. } => notes_of(text, order),
            _ => {}
        }
    }
}

/// Looks up links.
struct Links {
    /// The reference, name and chapter of each example.
    figures: Vec<String>,
    chapters: Vec<String>,
    /// The headings below chapters: the place of the chapter, and the name.
    headings: Vec<(usize, String)>,
    /// The chapter in which links are looked up.
    chapter: usize,
    faults: Vec<Fault>,
}

impl Links {
    fn of(manuscript: &Manuscript) -> Links {
        let heading = |(place, chapter): (usize, &Chapter)| {
            let headings = chapter.blocks.iter().filter_map(move |block| match block {
                Block::Heading { slug, .. } => Some((place, slug.clone())),
                _ => None,
            });
            headings.collect::<Vec<_>>()
        };
        Links {
            figures: manuscript.figures.iter().map(|figure| figure.reference.clone()).collect(),
            chapters: manuscript.chapters.iter().map(|chapter| chapter.slug.clone()).collect(),
            headings: manuscript.chapters.iter().enumerate().flat_map(heading).collect(),
            chapter: 0,
            faults: Vec::new(),
        }
    }

    fn block(&mut self, block: &mut Block) {
        match block {
            Block::Paragraph(text) | Block::Heading { text, .. } => self.inlines(text),
            Block::Quote(blocks) => blocks.iter_mut().for_each(|block| self.block(block)),
            Block::List { items, .. } => {
                items.iter_mut().flatten().for_each(|block| self.block(block));
            }
            Block::Table { head, rows } => {
                head.iter_mut()
                    .chain(rows.iter_mut().flatten())
                    .for_each(|cell| self.inlines(cell));
            }
            Block::Code(_) | Block::Rule | Block::Figures(_) => {}
        }
    }

    fn inlines(&mut self, inlines: &mut [Inline]) {
        for inline in inlines {
            match inline {
                Inline::Emphasis(inner) | Inline::Strong(inner) => self.inlines(inner),
                Inline::Link { to, text, place, .. } => {
                    self.inlines(text);
                    if let Target::Typed(typed) = to {
                        match self.target(typed) {
                            Ok(found) => *to = found,
                            Err(message) => {
                                self.faults.push(Fault { place: place.clone(), message });
                                *to = Target::Nowhere;
                            }
                        }
                    }
                }
                _ => {}
            }
        }
    }

    fn target(&self, typed: &str) -> Result<Target, String> {
        let lower = typed.to_ascii_lowercase();
        if ["http://", "https://", "mailto:"].iter().any(|start| lower.starts_with(start)) {
            return Ok(Target::Address(typed.to_owned()));
        }
        if let Some(figure) = self.figures.iter().position(|reference| reference == typed) {
            return Ok(Target::Figure(figure));
        }
        if typed.contains(".parts") {
            return Err(format!("{typed} is referred to, but does not stand in the book"));
        }
        let Some(name) = typed.strip_prefix('#') else {
            return Err(format!(
                "the link leads to {typed}: type an address of the web (https://…), an example \
                 (chapter-1.parts#12) or a heading (#its-words)"
            ));
        };
        if let Some(chapter) = self.chapters.iter().position(|slug| slug == name) {
            return Ok(Target::Chapter(chapter));
        }
        let here =
            self.headings.iter().find(|(place, slug)| *place == self.chapter && slug == name);
        match here.or_else(|| self.headings.iter().find(|(_, slug)| slug == name)) {
            Some((chapter, slug)) => Ok(Target::Heading(*chapter, slug.clone())),
            None => {
                let names = self.chapters.iter().map(|slug| format!("#{slug}"));
                let names: Vec<String> = names.take(12).collect();
                Err(format!("there is no heading {typed}; chapters are {}", names.join(" ")))
            }
        }
    }
}

/// The note's number with the example in which it points, in words: `Example 4.12, Tenor 17`.
pub(crate) fn pointed_words(manuscript: &Manuscript, note: &Note, example: &str) -> Option<String> {
    let at = note.at.as_ref()?;
    let number = &manuscript.figures[at.figure].number;
    Some(format!("{example} {number}, {} {}", at.voice, at.index))
}

/// Where an example stands in the source: `XII, fol. 14v in the source`.
pub(crate) fn in_source(figure: &Figure, said: &Words) -> Option<String> {
    let options = &figure.options;
    let folio = options.folio.as_ref().map(|folio| format!("{} {folio}", said.folio));
    let known: Vec<String> = options.source_number.clone().into_iter().chain(folio).collect();
    (!known.is_empty()).then(|| format!("{} {}", known.join(", "), said.source))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn footnotes_point_at_notes_of_music() {
        let read = |text: &str| pointer(text);
        let of = |example: Option<&str>, voice: &str, index, rest: &str| {
            Some((example.map(str::to_owned), voice.to_owned(), index, rest.to_owned()))
        };
        assert_eq!(read("Tenor:17 a slip"), of(None, "Tenor", 17, "a slip"));
        assert_eq!(read("12/Tenor:17, a slip"), of(Some("12"), "Tenor", 17, "a slip"));
        assert_eq!(read("Tenor:17"), of(None, "Tenor", 17, ""));
        for text in ["See Tenor:17", "at 10:30 h", "10:30 was", "Tenor: he sings", "Tenor:0"] {
            assert_eq!(read(text), None, "{text}");
        }
    }
}
