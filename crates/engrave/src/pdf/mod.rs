//! Pages as a PDF file: outlines, words and signs as text of embedded fonts, tags for screen readers.

mod ink;
mod tags;

use krilla::Document;
use krilla::SerializeSettings;
use krilla::action::LinkAction;
use krilla::annotation::{Annotation, LinkAnnotation, Target};
use krilla::configure::{Accessibility, Configuration, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::error::KrillaError;
use krilla::geom::{Point, Rect};
use krilla::metadata::Metadata;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use score::legible;

use crate::Error;
use crate::hairline::{PRINTED, thickened};
use crate::pages::{Book, Entry, Link, LinkTarget};
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
    document.set_metadata(metadata(book, title));
    document.set_outline(outline(&book.contents));
    let pens = Pens::new()?;
    let mut tags = Tags::default();
    for (number, picture) in book.pages.iter().enumerate() {
        let size = PageSettings::from_wh(points(picture.width), points(picture.height));
        let mut page = document.start_page_with(size.unwrap_or_default());
        let mut surface = page.surface();
        tags.page(number, &thickened(picture, PRINTED), &pens, &mut surface);
        surface.finish();
        for link in book.links.iter().filter(|link| link.page == number + 1) {
            if let Some(annotation) = annotation(link) {
                tags.link(page.add_tagged_annotation(annotation));
            }
        }
        page.finish();
    }
    document.set_tag_tree(tags.tree());
    Ok(document)
}

/// What a book is called that nobody has called anything.
const UNTITLED: &str = "Score";

fn metadata(book: &Book, title: Option<&str>) -> Metadata {
    let contents = &book.contents;
    let title = match contents.as_slice() {
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
        .language(book.language.clone().unwrap_or_else(|| "en".to_owned()))
        .creator("cartella".to_owned())
}

/// A link as the library takes it; nothing where it has no room.
fn annotation(link: &Link) -> Option<Annotation> {
    let (x, y) = (points(link.at.0), points(link.at.1));
    let rect = Rect::from_xywh(x, y, points(link.size.0), points(link.size.1))?;
    let target = match &link.to {
        LinkTarget::Page(page, y) => {
            let at = Point::from_xy(0.0, points(*y));
            Target::Destination(XyzDestination::new(page.saturating_sub(1), at).into())
        }
        LinkTarget::Address(address) => Target::Action(LinkAction::new(address.clone()).into()),
    };
    let words = legible(&link.words).into_owned();
    Some(Annotation::new_link(LinkAnnotation::new(rect, target), Some(words)))
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
