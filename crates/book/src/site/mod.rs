//! A book as a web site: a page a chapter, that works from a folder, without a server and without anything from
//! outside.

mod alone;
mod drawing;
mod figure;
mod html;
mod text;

use std::io::Cursor;

use cartella::{Error, Heading, MidiTuning, Paper, Rendering, Spelling, render, write_flac};
use serde_json::json;

use crate::shown::Shown;
use crate::text::{Block, Chapter, Target, plain};
use crate::whole::Book;
pub use alone::figure_page;
use drawing::Drawings;
use figure::{Figure, PointingNote};
use html::{Escaped, address, data};
use text::{Writer, figure_id, href, inlines, note_id, page};

/// The script of examples.
const FIGURES: &str = include_str!("figures.js");
const SEARCH: &str = include_str!("search.js");
const STYLE: &str = include_str!("style.css");

/// A file of a site.
#[derive(Clone, PartialEq, Debug)]
pub struct File {
    /// Its name in the folder of the site, with `/` between folder and name.
    pub path: String,
    /// What is in it.
    pub body: FileBody,
}

/// What is in a file of a site.
#[derive(Clone, PartialEq, Debug)]
pub enum FileBody {
    /// These bytes.
    Bytes(Vec<u8>),
    /// The sound of an example, which [`Book::sound`] makes; it changes only where the file of that name does.
    Sound(usize, String),
}

impl Book {
    /// All files of the site; with recordings, if they are wanted.
    ///
    /// # Errors
    /// If a file of an example cannot be written, as where a pitch is beyond what its format can say.
    pub fn site(&self, sound: bool) -> Result<Vec<File>, Error> {
        let mut files = Vec::new();
        let mut put = |path: &str, bytes: Vec<u8>| {
            files.push(File { path: path.to_owned(), body: FileBody::Bytes(bytes) });
        };
        put("book.css", STYLE.into());
        put("book.js", format!("{FIGURES}\n{SEARCH}").into_bytes());
        put("search-index.js", self.search_index().into_bytes());
        put("index.html", self.front().into_bytes());
        for place in 0..self.manuscript.chapters.len() {
            put(&page(self, place), self.chapter_page(place, sound).into_bytes());
        }
        for place in 0..self.manuscript.figures.len() {
            if let Ok(shown) = self.shown(place) {
                files.extend(self.downloads(place, &shown, sound)?);
            }
        }
        Ok(files)
    }

    /// The sound of an example, as FLAC.
    ///
    /// # Errors
    /// If it is too long.
    pub fn sound(&self, figure: usize) -> Result<Vec<u8>, String> {
        let shown = self.shown(figure)?;
        let arranged = shown.aligned.arrangement(shown.options());
        let performance = arranged.performance(&shown.aligned.playing());
        let mut bytes = Cursor::new(Vec::new());
        let rendering = Rendering::default();
        let samples = render(&performance, &rendering);
        samples
            .and_then(|mut samples| write_flac(&mut samples, &mut bytes))
            .map_err(|error| error.to_string())?;
        Ok(bytes.into_inner())
    }

    fn file_of(&self, figure: usize, ending: &str) -> String {
        format!("examples/{}.{ending}", self.manuscript.figures[figure].slug)
    }

    /// The files of an example.
    fn downloads(&self, place: usize, shown: &Shown<'_>, sound: bool) -> Result<Vec<File>, Error> {
        let figure = &self.manuscript.figures[place];
        let mut aligned = shown.aligned.clone();
        let example = aligned.example();
        aligned.score.heading =
            Heading { file: Some(figure.slug.clone()), ..Heading::of(example.piece()) };
        let arranged = aligned.arrangement(shown.options());
        let performance = arranged.performance(&aligned.playing());
        let look = cartella::Look::default();
        let midi = arranged.midi(&performance, MidiTuning::Unsaid)?;
        let bodies = [
            ("musicxml", arranged.musicxml()?.into_bytes()),
            ("pdf", arranged.pdf(&look, &Paper::A4)?),
            ("mid", midi),
            ("parts", notation::print(example.piece(), Spelling::default()).into_bytes()),
        ];
        let mut files: Vec<File> = bodies
            .into_iter()
            .map(|(ending, bytes)| File {
                path: self.file_of(place, ending),
                body: FileBody::Bytes(bytes),
            })
            .collect();
        if sound {
            let body = FileBody::Sound(place, self.file_of(place, "mid"));
            files.push(File { path: self.file_of(place, "flac"), body });
        }
        Ok(files)
    }

    /// The first page: title, what stands before the first chapter, contents, index of examples.
    fn front(&self) -> String {
        let said = self.language().words();
        let manuscript = &self.manuscript;
        let mut body = format!("<h1>{}</h1>\n", inlines(self, &manuscript.title, None));
        if !manuscript.subtitle.is_empty() {
            let words = inlines(self, &manuscript.subtitle, None);
            body.push_str(&format!("<p><em>{words}</em></p>\n"));
        }
        if let Some(author) = &manuscript.options.author {
            body.push_str(&format!("<p class=\"source\">{}</p>\n", Escaped(author)));
        }
        body.push_str(&format!("<h2>{}</h2>\n<ol class=\"contents\">\n", said.contents));
        for (place, chapter) in manuscript.chapters.iter().enumerate() {
            let number = chapter.number.map_or_else(String::new, |number| {
                format!("<span class=\"number\">{} {number}</span> ", said.chapter)
            });
            let title = chapter_title(self, chapter);
            body.push_str(&format!(
                "<li>{number}<a href=\"{}\">{}</a></li>\n",
                address(&page(self, place)),
                Escaped(&title)
            ));
        }
        body.push_str("</ol>\n");
        if !manuscript.figures.is_empty() {
            body.push_str(&format!("<h2>{}</h2>\n<ol class=\"examples\">\n", said.examples));
            for (place, figure) in manuscript.figures.iter().enumerate() {
                let to = href(self, &Target::Figure(place), None).unwrap_or_default();
                let caption = plain(&figure.caption);
                let caption = if caption.is_empty() { figure.reference.clone() } else { caption };
                body.push_str(&format!(
                    "<li><span class=\"number\">{}</span> <a href=\"{to}\">{}</a>{}</li>\n",
                    figure.number,
                    Escaped(&caption),
                    self.in_source(place)
                ));
            }
            body.push_str("</ol>\n");
        }
        self.page(&self.title(), &Drawings::default(), &body, None)
    }

    /// Where an example stands in the source, in a span.
    fn in_source(&self, figure: usize) -> String {
        let said = self.language().words();
        let source = crate::numbering::in_source(&self.manuscript.figures[figure], said);
        source.map_or_else(String::new, |source| {
            format!(" <span class=\"source\">({})</span>", Escaped(&source))
        })
    }

    fn chapter_page(&self, place: usize, sound: bool) -> String {
        let chapter = &self.manuscript.chapters[place];
        let mut drawings = Drawings::default();
        let mut figure = |figure: usize| self.figure(figure, place, sound, &mut drawings);
        let mut writer = Writer { book: self, chapter: place, figure: &mut figure };
        let number = chapter
            .number
            .map_or_else(String::new, |number| format!("<span class=\"number\">{number}</span> "));
        let title = if chapter.title.is_empty() {
            chapter_title(self, chapter)
        } else {
            inlines(self, &chapter.title, Some(place))
        };
        let mut body = format!("<h1>{number}{title}</h1>\n");
        body.push_str(&writer.blocks(&chapter.blocks));
        body.push_str(&writer.notes());
        self.page(&chapter_title(self, chapter), &drawings, &body, Some(place))
    }

    /// An example in a chapter.
    fn figure(&self, place: usize, chapter: usize, sound: bool, drawings: &mut Drawings) -> String {
        let (said, figure) = (self.language().words(), &self.manuscript.figures[place]);
        let caption = inlines(self, &figure.caption, Some(chapter));
        let label = format!("{} {}", said.example, figure.number);
        let caption = if caption.is_empty() {
            format!("<span class=\"number\">{label}</span>{}", self.in_source(place))
        } else {
            format!("<span class=\"number\">{label}.</span> {caption}{}", self.in_source(place))
        };
        let id = figure_id(figure);
        let Ok(shown) = self.shown(place) else {
            return format!(
                "<figure class=\"example\" id=\"{}\">\n<figcaption>{caption}</figcaption>\n<p>{}</p>\n\
                 <script type=\"application/json\">{{}}</script>\n</figure>\n",
                Escaped(&id),
                said.not_drawn
            );
        };
        let words = format!("{label}. {}", plain(&figure.caption));
        let notes = self.manuscript.notes.iter().enumerate().filter_map(|(number, note)| {
            let at = note.at.as_ref().filter(|at| at.figure == place)?;
            let text = note.blocks.iter().map(|block| match block {
                Block::Paragraph(text) => plain(text),
                _ => String::new(),
            });
            let here = note.chapter == chapter;
            here.then(|| PointingNote {
                number: note.number,
                text: text.collect(),
                voice: at.voice.clone(),
                index: at.index,
                id: note_id(self, number).0,
            })
        });
        let mut downloads: Vec<(String, String)> = vec![
            ("MusicXML".into(), self.file_of(place, "musicxml")),
            ("PDF".into(), self.file_of(place, "pdf")),
            ("MIDI".into(), self.file_of(place, "mid")),
            (said.parts.into(), self.file_of(place, "parts")),
        ];
        let recording = sound.then(|| self.file_of(place, "flac"));
        if let Some(recording) = &recording {
            downloads.push(("FLAC".into(), recording.clone()));
        }
        let critical = shown
            .critical
            .iter()
            .map(|note| (note.letter.clone(), note.text.clone(), note.voice.clone(), note.index));
        Figure {
            aligned: &shown.aligned,
            options: shown.options(),
            slug: &id,
            caption,
            words,
            copied: figure::copied(&shown.aligned),
            strips: self.strips(place),
            critical: critical.collect(),
            notes: notes.collect(),
            recording,
            downloads,
        }
        .written(drawings, said)
    }

    /// A whole page.
    fn page(&self, title: &str, drawings: &Drawings, body: &str, at: Option<usize>) -> String {
        let said = self.language().words();
        let book = self.title();
        let whole = if at.is_some() && title != book {
            format!("{title} – {book}")
        } else {
            title.to_owned()
        };
        let link = |place: usize, words: &str, rel: &str| {
            let chapter = &self.manuscript.chapters[place];
            format!(
                "<a rel=\"{rel}\" href=\"{}\">{words}: {}</a>\n",
                address(&page(self, place)),
                Escaped(&chapter_title(self, chapter))
            )
        };
        let mut ways = String::new();
        if let Some(place) = at {
            if place > 0 {
                ways.push_str(&link(place - 1, said.previous, "prev"));
            }
            ways.push_str(&format!("<a href=\"index.html\">{}</a>\n", said.contents));
            if place + 1 < self.manuscript.chapters.len() {
                ways.push_str(&link(place + 1, said.next, "next"));
            }
        }
        let ways = if ways.is_empty() {
            ways
        } else {
            format!("<nav class=\"pages\" aria-label=\"{}\">\n{ways}</nav>\n", said.contents)
        };
        format!(
            "<!DOCTYPE html>\n<html lang=\"{lang}\" xml:lang=\"{lang}\" xmlns=\"http://www.w3.org/1999/xhtml\">\n\
             <head>\n<meta charset=\"utf-8\"/>\n\
             <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n\
             <title>{title}</title>\n<link rel=\"stylesheet\" href=\"book.css\"/>\n\
             <link rel=\"icon\" href=\"data:,\"/>\n\
             <script src=\"search-index.js\" defer=\"defer\"></script>\n\
             <script src=\"book.js\" defer=\"defer\"></script>\n</head>\n\
             <body id=\"top\">\n{drawings}<header class=\"book\">\n<a href=\"index.html\">{book}</a>\n\
             <form class=\"search\" role=\"search\" hidden=\"hidden\" data-none=\"{none}\">\n\
             <input type=\"search\" aria-label=\"{search}\"/>\n<button type=\"submit\">{search}</button>\n\
             <ol aria-live=\"polite\"></ol>\n</form>\n</header>\n<main>\n{body}</main>\n{ways}</body>\n</html>\n",
            lang = self.language().code(),
            title = Escaped(&whole),
            drawings = drawings.written(),
            book = Escaped(&book),
            none = said.nothing_found,
            search = said.search,
        )
    }

    /// What can be found: paragraphs under their headings, and examples.
    fn search_index(&self) -> String {
        let said = self.language().words();
        let mut entries = Vec::new();
        for (place, chapter) in self.manuscript.chapters.iter().enumerate() {
            let mut at = page(self, place);
            let mut title = chapter_title(self, chapter);
            let mut words = String::new();
            let mut put = |at: &str, title: &str, words: &mut String| {
                let text = std::mem::take(words);
                entries.push(json!({ "at": address(at), "title": title, "text": text.trim() }));
            };
            for block in &chapter.blocks {
                match block {
                    Block::Heading { text, slug, .. } => {
                        put(&at, &title, &mut words);
                        at = format!("{}#{slug}", page(self, place));
                        title = plain(text);
                    }
                    other => add_words(other, &mut words),
                }
            }
            put(&at, &title, &mut words);
            for note in self.manuscript.notes.iter().filter(|note| note.chapter == place) {
                let at = format!("{}#note-{}", page(self, place), note.number);
                note.blocks.iter().for_each(|block| add_words(block, &mut words));
                put(&at, &format!("{} {}", said.notes, note.number), &mut words);
            }
        }
        for (place, figure) in self.manuscript.figures.iter().enumerate() {
            let to = href(self, &Target::Figure(place), None).unwrap_or_default();
            let title = format!("{} {}", said.example, figure.number);
            let mut text = vec![plain(&figure.caption)];
            if let Some(example) = self.example(figure) {
                let head = &example.piece().head;
                let known = [&head.title, &head.composer, &head.source];
                text.extend(known.into_iter().flatten().map(|item| item.text.clone()));
                text.extend(example.piece().voices.iter().map(|voice| voice.name.clone()));
            }
            text.extend(crate::numbering::in_source(figure, said));
            entries.push(json!({ "at": to, "title": title, "text": text.join(" · ") }));
        }
        format!("window.bookIndex = {};\n", data(&serde_json::Value::Array(entries)))
    }
}

/// The title of a chapter in plain words; what stands before the first has none of its own.
fn chapter_title(book: &Book, chapter: &Chapter) -> String {
    let title = plain(&chapter.title);
    if title.is_empty() { book.language().words().preface.to_owned() } else { title }
}

fn add_words(block: &Block, words: &mut String) {
    let mut put = |text: &str| {
        words.push_str(text);
        words.push(' ');
    };
    match block {
        Block::Paragraph(text) | Block::Heading { text, .. } => put(&plain(text)),
        Block::Code(text) => put(text),
        Block::Table { head, rows } => {
            head.iter().chain(rows.iter().flatten()).for_each(|cell| put(&plain(cell)));
        }
        Block::Quote(blocks) => blocks.iter().for_each(|block| add_words(block, words)),
        Block::List { items, .. } => {
            items.iter().flatten().for_each(|block| add_words(block, words));
        }
        Block::Rule | Block::Figures(_) => {}
    }
}
