//! Pages as a PDF file: outlines, words and signs as text of embedded fonts, tags for screen readers.

mod ink;
mod tags;

use krilla::Document;
use krilla::SerializeSettings;
use krilla::configure::{Accessibility, Configuration, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::error::KrillaError;
use krilla::geom::Point;
use krilla::metadata::Metadata;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use score::legible;

use crate::Error;
use crate::hairline::{PRINTED, thickened};
use crate::pages::{Book, Entry};
use ink::{Pens, points};
use tags::Tags;

/// The book as one PDF file. It has the title of its only piece, or the one that is given; the
/// sources are its subject, and every piece has an entry in its outline. Its language is English, that
/// of its outline and its descriptions; the language of the words in the music is not known.
///
/// All ink but that of coloured marks and of what is shaded is `DeviceGray` 0, which a press prints with its black ink alone
/// (ISO 32000-1, 10.3.3). No line is thinner than a quarter of a point. Words can be selected and found;
/// signs of the music face are its glyphs. There is no date in the file: the same book gives the same
/// bytes.
///
/// For screen readers, titles and what else stands over a piece are tagged as headings and paragraphs, and
/// each system has a description. The file says that it is PDF/UA-1 (ISO 14289-1) if the library that
/// writes it finds it so.
///
/// # Errors
/// What the library that writes the file says.
pub fn pdf(book: &Book, title: Option<&str>) -> Result<Vec<u8>, Error> {
    let accessible = ConfigurationBuilder::new()
        .with_accessibility_validator(Accessibility::UA1)
        .finish()
        .map_err(|error| Error::unwritten(format!("{error:?}")))?;
    match document(book, title, accessible)?.finish() {
        // Something in it is not as the standard wants it: the same without saying that it is.
        Err(KrillaError::Validation(_)) => {
            document(book, title, Configuration::default())?.finish()
        }
        done => done,
    }
    .map_err(Error::unwritten)
}

fn document(
    book: &Book,
    title: Option<&str>,
    configuration: Configuration,
) -> Result<Document, Error> {
    let settings = SerializeSettings { configuration, ..SerializeSettings::default() };
    let mut document = Document::new_with(settings);
    document.set_metadata(metadata(&book.contents, title));
    document.set_outline(outline(&book.contents));
    let pens = Pens::new()?;
    let mut tags = Tags::default();
    for (number, picture) in book.pages.iter().enumerate() {
        let size = PageSettings::from_wh(points(picture.width), points(picture.height));
        let mut page = document.start_page_with(size.unwrap_or_default());
        let mut surface = page.surface();
        tags.page(number, &thickened(picture, PRINTED), &pens, &mut surface);
        surface.finish();
        page.finish();
    }
    document.set_tag_tree(tags.tree());
    Ok(document)
}

/// What a book is called that nobody has called anything.
const UNTITLED: &str = "Score";

fn metadata(contents: &[Entry], title: Option<&str>) -> Metadata {
    let title = match contents {
        [only] => only.title.as_deref().or(title),
        _ => title,
    };
    let mut sources: Vec<&str> = Vec::new();
    for source in contents.iter().filter_map(|entry| entry.source.as_deref()) {
        if !sources.contains(&source) {
            sources.push(source);
        }
    }
    let mut composers: Vec<String> = Vec::new();
    for composer in contents.iter().filter_map(|entry| entry.composer.as_deref()) {
        let composer = legible(composer).into_owned();
        if !composers.contains(&composer) {
            composers.push(composer);
        }
    }
    Metadata::new()
        .authors(composers)
        .title(legible(title.unwrap_or(UNTITLED)).into_owned())
        .description(legible(&sources.join("; ")).into_owned())
        .language("en".to_owned())
        .creator("cartella".to_owned())
}

fn outline(contents: &[Entry]) -> Outline {
    let mut outline = Outline::new();
    for (place, entry) in contents.iter().enumerate() {
        let title = entry.title.as_deref().map(|title| legible(title).into_owned());
        let title = title.unwrap_or_else(|| format!("No. {}", place + 1));
        let at = Point::from_xy(0.0, points(entry.y));
        outline.push_child(OutlineNode::new(title, XyzDestination::new(entry.page - 1, at)));
    }
    outline
}
