//! From `CommonMark` to the text of a book.

use std::collections::BTreeMap;

use cartella::LineIndex;
use pulldown_cmark::{Event, HeadingLevel, Options, Parser, Tag, TagEnd};

use super::{
    Block, Chapter, Figure, FigureOptions, Inline, Manuscript, Note, Slugs, Target, TextOptions,
    plain,
};
use crate::attributes::Attributes;
use crate::fault::{Fault, Place};

/// What the names of text files end in.
const TEXT: &str = ".md";

/// Lists, quotations and stresses within one another, no deeper than this.
const DEEPEST: usize = 12;

/// A book while its files are read.
pub(crate) struct Reading<'r> {
    /// Gives the bytes of a file of the book; else why it cannot.
    pub(crate) open: &'r dyn Fn(&str) -> Result<Vec<u8>, String>,
    pub(crate) manuscript: Manuscript,
    pub(crate) faults: Vec<Fault>,
    /// The files that are being read, each taken in by the one before it.
    within: Vec<String>,
    slugs: Slugs,
    figure_slugs: Slugs,
    has_title: bool,
}

/// Reads the text of a book, with all files that it takes in.
pub(crate) fn read<'r>(
    file: &str,
    open: &'r dyn Fn(&str) -> Result<Vec<u8>, String>,
) -> Result<Reading<'r>, String> {
    let bytes = open(file)?;
    let mut reading = Reading {
        open,
        manuscript: Manuscript::default(),
        faults: Vec::new(),
        within: Vec::new(),
        slugs: Slugs::default(),
        figure_slugs: Slugs::default(),
        has_title: false,
    };
    // Names that the site has for itself.
    for taken in ["index", "search", "examples", "book"] {
        reading.slugs.of(taken);
    }
    reading.text(file, &String::from_utf8_lossy(&bytes));
    Ok(reading)
}

impl Reading<'_> {
    fn fault(&mut self, place: &Place, message: impl Into<String>) {
        self.faults.push(Fault { place: place.clone(), message: message.into() });
    }

    /// Reads one file, at the end of what is read so far.
    fn text(&mut self, file: &str, text: &str) {
        self.within.push(file.to_owned());
        let options =
            Options::ENABLE_TABLES | Options::ENABLE_FOOTNOTES | Options::ENABLE_SMART_PUNCTUATION;
        let mut builder = Builder {
            file,
            text,
            lines: LineIndex::new(text),
            open: vec![Open::new(Kind::Root, 0)],
            skip_to: 0,
            definitions: BTreeMap::new(),
            labels: BTreeMap::new(),
            unknown_deep: 0,
        };
        for (event, range) in Parser::new_ext(text, options).into_offset_iter() {
            builder.event(event, range.start, range.end, self);
        }
        builder.finish(self);
        self.within.pop();
    }

    /// The chapter that is being read.
    fn chapter(&mut self) -> &mut Chapter {
        let chapters = &mut self.manuscript.chapters;
        if chapters.is_empty() {
            chapters.push(Chapter { slug: "preface".to_owned(), ..Chapter::default() });
        }
        let last = chapters.len() - 1;
        &mut chapters[last]
    }

    /// Takes another file of text in.
    fn take_in(&mut self, file: &str, place: &Place) {
        if self.within.iter().any(|other| other == file) {
            let way = self.within.join(" takes in ");
            self.fault(place, format!("{way} takes in {file}: leave out one of these links"));
            return;
        }
        match (self.open)(file) {
            Ok(bytes) => self.text(file, &String::from_utf8_lossy(&bytes)),
            Err(why) => self.fault(place, why),
        }
    }
}

/// What is open, from the outside in.
struct Open {
    kind: Kind,
    /// Where it begins in the text.
    start: usize,
    inlines: Vec<Inline>,
    blocks: Vec<Block>,
    /// The rows of a table, the items of a list.
    rows: Vec<Vec<Vec<Inline>>>,
    items: Vec<Vec<Block>>,
}

enum Kind {
    Root,
    Heading(HeadingLevel),
    Paragraph,
    Quote,
    List(Option<u64>),
    Item,
    Table,
    Row,
    Cell,
    Code,
    Emphasis,
    Strong,
    Link(String),
    Image(String),
    Footnote(String),
    /// Something of which only what is in it is taken.
    Other,
}

impl Open {
    fn new(kind: Kind, start: usize) -> Open {
        let (inlines, blocks, rows, items) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        Open { kind, start, inlines, blocks, rows, items }
    }
}

struct Builder<'t> {
    file: &'t str,
    text: &'t str,
    lines: LineIndex,
    open: Vec<Open>,
    /// Text before this place is an attribute that was read already.
    skip_to: usize,
    definitions: BTreeMap<String, (Vec<Block>, Place)>,
    /// The footnotes of this file that were referred to, by their labels and chapters.
    labels: BTreeMap<(String, usize), usize>,
    /// How many things that were not opened, since they lie too deep, are to be closed.
    unknown_deep: usize,
}

impl Builder<'_> {
    fn place(&self, at: usize) -> Place {
        Place { file: self.file.to_owned(), line: self.lines.line(at as u32) }
    }

    fn event(&mut self, event: Event<'_>, start: usize, end: usize, reading: &mut Reading<'_>) {
        match event {
            Event::Start(tag) => self.start(tag, start, reading),
            Event::End(tag) => self.end(tag, end, reading),
            Event::Text(words) => {
                if start >= self.skip_to {
                    self.words(&words);
                } else if end > self.skip_to {
                    // The rest of a text that begins with an attribute.
                    let rest = self.text[self.skip_to..end].to_owned();
                    self.words(&rest);
                }
            }
            Event::Code(words) => self.push(Inline::Code(words.into_string())),
            // Tags are text like any other; what stands between <!-- and --> is left out.
            Event::Html(words) | Event::InlineHtml(words) => {
                if !words.trim_start().starts_with("<!--") && start >= self.skip_to {
                    self.words(&words);
                }
            }
            Event::SoftBreak => self.words(" "),
            Event::HardBreak => self.push(Inline::Break),
            Event::Rule => self.block(Block::Rule, reading),
            Event::FootnoteReference(label) => self.reference(&label, start, reading),
            Event::InlineMath(_) | Event::DisplayMath(_) | Event::TaskListMarker(_) => {}
        }
    }

    fn words(&mut self, words: &str) {
        if let Some(Open { inlines, .. }) = self.open.last_mut() {
            if let Some(Inline::Text(text)) = inlines.last_mut() {
                text.push_str(words);
            } else {
                inlines.push(Inline::Text(words.to_owned()));
            }
        }
    }

    fn push(&mut self, inline: Inline) {
        if let Some(open) = self.open.last_mut() {
            open.inlines.push(inline);
        }
    }

    /// Puts a block into what is open; outside of all, into the chapter.
    fn block(&mut self, block: Block, reading: &mut Reading<'_>) {
        match self.open.last_mut() {
            Some(open) if !matches!(open.kind, Kind::Root) => open.blocks.push(block),
            _ => reading.chapter().blocks.push(block),
        }
    }

    fn reference(&mut self, label: &str, start: usize, reading: &mut Reading<'_>) {
        let place = self.place(start);
        reading.chapter();
        let chapter = reading.manuscript.chapters.len() - 1;
        let notes = &mut reading.manuscript.notes;
        let number = notes.iter().filter(|note| note.chapter == chapter).count() as u32 + 1;
        let key = (label.to_owned(), chapter);
        let note = *self.labels.entry(key).or_insert_with(|| {
            let label = label.to_owned();
            notes.push(Note { label, blocks: Vec::new(), place, chapter, number, at: None });
            notes.len() - 1
        });
        self.push(Inline::Note(note));
    }

    fn start(&mut self, tag: Tag<'_>, start: usize, reading: &mut Reading<'_>) {
        let nests = matches!(
            tag,
            Tag::BlockQuote(_) | Tag::List(_) | Tag::Item | Tag::Emphasis | Tag::Strong
        );
        if nests && self.open.len() > DEEPEST {
            if self.unknown_deep == 0 {
                let place = self.place(start);
                reading.fault(&place, "this lies too deep in lists and quotations");
            }
            self.unknown_deep += 1;
            return;
        }
        // A tight item of a list has its words without a paragraph round them.
        if matches!(tag, Tag::List(_) | Tag::BlockQuote(_) | Tag::CodeBlock(_) | Tag::Paragraph) {
            self.close_loose(reading);
        }
        let kind = match tag {
            Tag::Paragraph => Kind::Paragraph,
            Tag::Heading { level, .. } => Kind::Heading(level),
            Tag::BlockQuote(_) => Kind::Quote,
            Tag::List(first) => Kind::List(first),
            Tag::Item => Kind::Item,
            Tag::Table(_) => Kind::Table,
            Tag::TableHead | Tag::TableRow => Kind::Row,
            Tag::TableCell => Kind::Cell,
            Tag::CodeBlock(_) => Kind::Code,
            Tag::Emphasis => Kind::Emphasis,
            Tag::Strong => Kind::Strong,
            Tag::Link { dest_url, .. } => Kind::Link(dest_url.into_string()),
            Tag::Image { dest_url, .. } => Kind::Image(dest_url.into_string()),
            Tag::FootnoteDefinition(label) => Kind::Footnote(label.into_string()),
            _ => Kind::Other,
        };
        self.open.push(Open::new(kind, start));
    }

    /// Makes a paragraph of words that stand in an item without one.
    fn close_loose(&mut self, reading: &mut Reading<'_>) {
        let Some(open) = self.open.last_mut() else { return };
        if matches!(open.kind, Kind::Item | Kind::Quote) && !open.inlines.is_empty() {
            let (inlines, start) = (std::mem::take(&mut open.inlines), open.start);
            self.paragraph(inlines, start, reading);
        }
    }

    fn end(&mut self, tag: TagEnd, end: usize, reading: &mut Reading<'_>) {
        let nests = matches!(
            tag,
            TagEnd::BlockQuote(_)
                | TagEnd::List(_)
                | TagEnd::Item
                | TagEnd::Emphasis
                | TagEnd::Strong
        );
        if nests && self.unknown_deep > 0 {
            self.unknown_deep -= 1;
            return;
        }
        self.close_loose(reading);
        if self.open.len() < 2 {
            return;
        }
        let Some(Open { kind, start, inlines, blocks, rows, items }) = self.open.pop() else {
            return;
        };
        match kind {
            Kind::Root => {}
            Kind::Paragraph => self.paragraph(inlines, start, reading),
            Kind::Heading(level) => self.heading(level, inlines, (start, end), reading),
            Kind::Quote => self.block(Block::Quote(blocks), reading),
            Kind::List(first) => self.block(Block::List { first, items }, reading),
            Kind::Item => {
                if let Some(list) = self.open.last_mut() {
                    list.items.push(blocks);
                }
            }
            Kind::Table => {
                let mut rows = rows.into_iter();
                let head = rows.next().unwrap_or_default();
                self.block(Block::Table { head, rows: rows.collect() }, reading);
            }
            Kind::Row => {
                let cells = rows.into_iter().flatten().collect();
                if let Some(table) = self.open.last_mut() {
                    table.rows.push(cells);
                }
            }
            Kind::Cell => {
                if let Some(row) = self.open.last_mut() {
                    row.rows.push(vec![inlines]);
                }
            }
            Kind::Code => self.block(Block::Code(plain(&inlines)), reading),
            Kind::Emphasis => self.push(Inline::Emphasis(inlines)),
            Kind::Strong => self.push(Inline::Strong(inlines)),
            Kind::Link(to) => {
                let (attributes, place) = (self.attributes(end), self.place(start));
                let by_page = attributes.get("page").is_some();
                self.push(Inline::Link { to: Target::Typed(to), text: inlines, by_page, place });
            }
            Kind::Image(to) => self.image(&to, inlines, (start, end), reading),
            Kind::Footnote(label) => {
                let place = self.place(start);
                self.definitions.insert(label, (blocks, place));
            }
            Kind::Other => {
                if let Some(open) = self.open.last_mut() {
                    open.inlines.extend(inlines);
                    open.blocks.extend(blocks);
                }
            }
        }
    }

    /// The attributes that follow at a place; their text is then read.
    fn attributes(&mut self, end: usize) -> Attributes {
        let Some((attributes, length)) = Attributes::read(&self.text[end..]) else {
            return Attributes::default();
        };
        self.skip_to = end + length;
        attributes
    }

    fn image(
        &mut self,
        reference: &str,
        caption: Vec<Inline>,
        (start, end): (usize, usize),
        reading: &mut Reading<'_>,
    ) {
        let (attributes, place) = (self.attributes(end), self.place(start));
        let (options, faults) = FigureOptions::read(&attributes);
        for said in faults {
            reading.fault(&place, said);
        }
        let (file, name) = match reference.split_once('#') {
            Some((file, name)) => (file, Some(name.to_owned())),
            None => (reference, None),
        };
        let Some(stem) = file.strip_suffix(".parts") else {
            let said = format!(
                "{reference} is no example: type a parts file and the example in it, \
                 chapter-1.parts#12"
            );
            reading.fault(&place, said);
            return;
        };
        reading.chapter();
        let words = format!("{stem} {}", name.as_deref().unwrap_or_default());
        let figure = Figure {
            reference: reference.to_owned(),
            file: file.to_owned(),
            slug: reading.figure_slugs.of(&words),
            name,
            caption,
            options,
            place,
            chapter: reading.manuscript.chapters.len() - 1,
            number: String::new(),
        };
        reading.manuscript.figures.push(figure);
        self.push(Inline::Figure(reading.manuscript.figures.len() - 1));
    }

    /// The number of a footnote that is not there is left as text by the reader of `CommonMark`.
    fn unknown_notes(&self, inlines: &[Inline], start: usize, reading: &mut Reading<'_>) {
        for inline in inlines {
            match inline {
                Inline::Text(text) => {
                    let labels = text.split("[^").skip(1).filter_map(|rest| rest.split_once(']'));
                    for (label, _) in labels {
                        let place = self.place(start);
                        let said = format!("there is no footnote [^{label}]: type [^{label}]: …");
                        reading.fault(&place, said);
                    }
                }
                Inline::Emphasis(inner)
                | Inline::Strong(inner)
                | Inline::Link { text: inner, .. } => self.unknown_notes(inner, start, reading),
                _ => {}
            }
        }
    }

    /// A paragraph; one of examples alone, or of one link to a text file, is something else.
    fn paragraph(&mut self, inlines: Vec<Inline>, start: usize, reading: &mut Reading<'_>) {
        let is_blank = |inline: &Inline| match inline {
            Inline::Text(text) => text.trim().is_empty(),
            Inline::Break => true,
            _ => false,
        };
        if let [Inline::Link { to: Target::Typed(to), text, place, .. }] = inlines.as_slice()
            && text.is_empty()
            && to.strip_suffix(TEXT).is_some()
        {
            if self.open.len() > 1 {
                reading.fault(place, format!("{to} is taken in by a paragraph of its own"));
                return;
            }
            reading.take_in(to, place);
            return;
        }
        self.unknown_notes(&inlines, start, reading);
        let (mut figures, mut words): (Vec<usize>, Vec<Inline>) = (Vec::new(), Vec::new());
        for inline in inlines {
            match (inline, figures.last()) {
                (Inline::Figure(figure), _) => figures.push(figure),
                // The number of a footnote behind an example belongs to its caption.
                (Inline::Note(note), Some(figure)) if words.iter().all(is_blank) => {
                    reading.manuscript.figures[*figure].caption.push(Inline::Note(note));
                }
                (other, _) => words.push(other),
            }
        }
        let only_figures = words.iter().all(is_blank);
        if !figures.is_empty() && !only_figures {
            let place = self.place(start);
            reading.fault(
                &place,
                "an example stands in a paragraph of its own: leave a blank line before and after it",
            );
        }
        let is_under_title = reading.has_title
            && self.open.len() == 1
            && reading.manuscript.chapters.is_empty()
            && reading.manuscript.subtitle.is_empty();
        if is_under_title && let [Inline::Emphasis(words)] = words.as_slice() {
            reading.manuscript.subtitle.clone_from(words);
            return;
        }
        if !only_figures {
            self.block(Block::Paragraph(words), reading);
        }
        if !figures.is_empty() {
            self.block(Block::Figures(figures), reading);
        }
    }

    fn heading(
        &mut self,
        level: HeadingLevel,
        mut text: Vec<Inline>,
        (start, end): (usize, usize),
        reading: &mut Reading<'_>,
    ) {
        let typed = self.text[start..end].trim_end();
        let (place, mut attributes) = (self.place(start), Attributes::default());
        if let Some(brace) = typed.rfind('{')
            && let Some((read, length)) = Attributes::read(&typed[brace..])
            && brace + length == typed.len()
        {
            attributes = read;
            // The words of the attributes were read as text.
            if let Some(Inline::Text(words)) = text.last_mut()
                && let Some(brace) = words.rfind('{')
            {
                words.truncate(brace);
                words.truncate(words.trim_end().len());
            }
        }
        if self.open.len() > 1 {
            self.block(Block::Paragraph(vec![Inline::Strong(text)]), reading);
            return;
        }
        match level {
            HeadingLevel::H1 if !reading.has_title => {
                reading.has_title = true;
                let (options, faults) = TextOptions::read(&attributes);
                for said in faults {
                    reading.fault(&place, said);
                }
                (reading.manuscript.title, reading.manuscript.options) = (text, options);
            }
            HeadingLevel::H1 | HeadingLevel::H2 => {
                if level == HeadingLevel::H1 {
                    let said = "the book has a title already: type ## for a chapter";
                    reading.fault(&place, said);
                }
                let slug = reading.slugs.of(&plain(&text));
                let chapters = &mut reading.manuscript.chapters;
                let number = chapters.iter().filter(|one| one.number.is_some()).count() as u32 + 1;
                let report = attributes.get("report").is_some();
                chapters.push(Chapter {
                    title: text,
                    number: Some(number),
                    slug,
                    report,
                    blocks: Vec::new(),
                });
            }
            other => {
                let slug = reading.slugs.of(&plain(&text));
                let level = (other as u8).saturating_sub(2).max(1);
                self.block(Block::Heading { level, text, slug }, reading);
            }
        }
    }

    /// Gives the footnotes that were referred to their texts.
    fn finish(mut self, reading: &mut Reading<'_>) {
        let mut used = Vec::new();
        for ((label, _), note) in &self.labels {
            let Some((blocks, place)) = self.definitions.get(label) else {
                let place = reading.manuscript.notes[*note].place.clone();
                reading
                    .fault(&place, format!("there is no footnote [^{label}]: type [^{label}]: …"));
                continue;
            };
            used.push(label.clone());
            let note = &mut reading.manuscript.notes[*note];
            (note.blocks, note.place) = (blocks.clone(), place.clone());
        }
        for (label, (_, place)) in std::mem::take(&mut self.definitions) {
            if !used.contains(&label) {
                reading.fault(&place, format!("nothing refers to the footnote [^{label}]"));
            }
        }
    }
}
