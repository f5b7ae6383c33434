//! The text of a book as HTML.

use super::html::{Escaped, address};
use crate::numbering::pointed_words;
use crate::text::{Block, Figure, Inline, Target, plain};
use crate::whole::Book;

/// Writes the text of one page.
pub(super) struct Writer<'w> {
    pub(super) book: &'w Book,
    /// The chapter, by its place.
    pub(super) chapter: usize,
    /// Sets an example.
    pub(super) figure: &'w mut dyn FnMut(usize) -> String,
}

/// The name of a chapter's page.
pub(super) fn page(book: &Book, chapter: usize) -> String {
    format!("{}.html", book.manuscript.chapters[chapter].slug)
}

/// The id of an example in its page.
pub(super) fn figure_id(figure: &Figure) -> String {
    format!("example-{}", figure.slug)
}

/// The ids of a footnote, and of its number in the text.
pub(super) fn note_id(book: &Book, note: usize) -> (String, String) {
    let number = book.manuscript.notes[note].number;
    (format!("note-{number}"), format!("call-{number}"))
}

/// Where something stands, seen from a chapter; from outside of all, if there is none.
pub(super) fn href(book: &Book, target: &Target, from: Option<usize>) -> Option<String> {
    let at = |chapter: usize, id: &str| {
        let page = if from == Some(chapter) { String::new() } else { page(book, chapter) };
        let id = if id.is_empty() { String::new() } else { format!("#{id}") };
        // A link to the page itself.
        if page.is_empty() && id.is_empty() { "#top".to_owned() } else { format!("{page}{id}") }
    };
    match target {
        Target::Typed(_) | Target::Nowhere => None,
        Target::Address(address) => Some(address.clone()),
        Target::Figure(figure) => {
            let figure = &book.manuscript.figures[*figure];
            Some(address(&at(figure.chapter, &figure_id(figure))))
        }
        Target::Chapter(chapter) => Some(address(&at(*chapter, ""))),
        Target::Heading(chapter, name) => Some(address(&at(*chapter, name))),
    }
}

/// What a link without words of its own says.
fn named(book: &Book, target: &Target) -> String {
    let (said, manuscript) = (book.language().words(), &book.manuscript);
    match target {
        Target::Typed(_) | Target::Nowhere => String::new(),
        Target::Address(address) => address.clone(),
        Target::Figure(figure) => {
            format!("{}\u{a0}{}", said.example, manuscript.figures[*figure].number)
        }
        Target::Chapter(chapter) => match manuscript.chapters[*chapter].number {
            Some(number) => format!("{}\u{a0}{number}", said.chapter),
            None => said.preface.to_owned(),
        },
        Target::Heading(chapter, name) => {
            let headings =
                manuscript.chapters[*chapter].blocks.iter().find_map(|block| match block {
                    Block::Heading { slug, text, .. } if slug == name => Some(plain(text)),
                    _ => None,
                });
            headings.unwrap_or_default()
        }
    }
}

/// Inlines as HTML, in a chapter.
pub(super) fn inlines(book: &Book, inlines: &[Inline], chapter: Option<usize>) -> String {
    let mut html = String::new();
    add(book, inlines, chapter, &mut html);
    html
}

fn add(book: &Book, all: &[Inline], chapter: Option<usize>, html: &mut String) {
    for inline in all {
        match inline {
            Inline::Text(text) => html.push_str(&Escaped(text).to_string()),
            Inline::Code(text) => html.push_str(&format!("<code>{}</code>", Escaped(text))),
            Inline::Emphasis(inner) => {
                html.push_str(&format!("<em>{}</em>", inlines(book, inner, chapter)));
            }
            Inline::Strong(inner) => {
                html.push_str(&format!("<strong>{}</strong>", inlines(book, inner, chapter)));
            }
            Inline::Break => html.push_str("<br/>"),
            Inline::Link { to, text, .. } => {
                let words = inlines(book, text, chapter);
                let words =
                    if words.is_empty() { Escaped(&named(book, to)).to_string() } else { words };
                match href(book, to, chapter) {
                    Some(at) => {
                        html.push_str(&format!("<a href=\"{}\">{words}</a>", Escaped(&at)));
                    }
                    None => html.push_str(&words),
                }
            }
            Inline::Note(note) => {
                let (id, call) = note_id(book, *note);
                let number = book.manuscript.notes[*note].number;
                // Referred to twice, it is called from the first place.
                let call = if html.contains(&format!("id=\"{call}\"")) {
                    String::new()
                } else {
                    format!(" id=\"{call}\"")
                };
                html.push_str(&format!("<sup><a{call} href=\"#{id}\">{number}</a></sup>"));
            }
            Inline::Figure(_) => {}
        }
    }
}

impl Writer<'_> {
    pub(super) fn blocks(&mut self, blocks: &[Block]) -> String {
        blocks.iter().map(|block| self.block(block)).collect()
    }

    fn inlines(&self, text: &[Inline]) -> String {
        inlines(self.book, text, Some(self.chapter))
    }

    fn block(&mut self, block: &Block) -> String {
        match block {
            Block::Heading { level, text, slug } => {
                let (level, text) = (level + 1, self.inlines(text));
                format!("<h{level} id=\"{}\">{text}</h{level}>\n", Escaped(slug))
            }
            Block::Paragraph(text) => format!("<p>{}</p>\n", self.inlines(text)),
            Block::Quote(blocks) => {
                format!("<blockquote>\n{}</blockquote>\n", self.blocks(blocks))
            }
            Block::List { first, items } => {
                let item = |blocks: &Vec<Block>| format!("<li>{}</li>\n", self.blocks(blocks));
                let items: String = items.iter().map(item).collect();
                match first {
                    None => format!("<ul>\n{items}</ul>\n"),
                    Some(1) => format!("<ol>\n{items}</ol>\n"),
                    Some(first) => format!("<ol start=\"{first}\">\n{items}</ol>\n"),
                }
            }
            Block::Table { head, rows } => self.table(head, rows),
            Block::Code(text) => format!("<pre><code>{}</code></pre>\n", Escaped(text)),
            Block::Rule => "<hr/>\n".to_owned(),
            Block::Figures(figures) => {
                figures.iter().map(|figure| (self.figure)(*figure)).collect()
            }
        }
    }

    fn table(&self, head: &[Vec<Inline>], rows: &[Vec<Vec<Inline>>]) -> String {
        let row = |cells: &[Vec<Inline>], name: &str| {
            let scope = if name == "th" { " scope=\"col\"" } else { "" };
            let cells: String = cells
                .iter()
                .map(|cell| format!("<{name}{scope}>{}</{name}>", self.inlines(cell)))
                .collect();
            format!("<tr>{cells}</tr>\n")
        };
        let rows: String = rows.iter().map(|cells| row(cells, "td")).collect();
        let head = row(head, "th");
        format!(
            "<div class=\"scroll\"><table>\n<thead>\n{head}</thead>\n<tbody>\n{rows}</tbody>\n</table></div>\n"
        )
    }

    /// The footnotes of the chapter, each with the way back.
    pub(super) fn notes(&mut self) -> String {
        let said = self.book.language().words();
        let manuscript = &self.book.manuscript;
        let mut items = String::new();
        for (place, note) in manuscript.notes.iter().enumerate() {
            if note.chapter != self.chapter {
                continue;
            }
            let (id, call) = note_id(self.book, place);
            let pointed = note.at.as_ref().zip(pointed_words(manuscript, note, said.example));
            let pointed = pointed.map(|(at, words)| {
                let to = href(self.book, &Target::Figure(at.figure), Some(self.chapter));
                format!(
                    "<a href=\"{}\" data-voice=\"{}\" data-note=\"{}\">{}</a>: ",
                    to.unwrap_or_default(),
                    Escaped(&at.voice),
                    at.index,
                    Escaped(&words)
                )
            });
            let blocks = self.blocks(&note.blocks);
            let text = match blocks.strip_prefix("<p>") {
                Some(rest) => format!("<p>{}{rest}", pointed.unwrap_or_default()),
                None => format!("<p>{}</p>{blocks}", pointed.unwrap_or_default()),
            };
            items.push_str(&format!(
                "<li id=\"{id}\">{text}<p><a href=\"#{call}\" aria-label=\"{} {}\">↑</a></p></li>\n",
                said.previous, note.number
            ));
        }
        if items.is_empty() {
            return String::new();
        }
        format!(
            "<section class=\"notes\">\n<h2>{}</h2>\n<ol>\n{items}</ol>\n</section>\n",
            said.notes
        )
    }
}
