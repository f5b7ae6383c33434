//! One example as a page of its own, to be shown as it is or to be put into somebody else's page.

use cartella::{Aligned, Options};

use super::drawing::Drawings;
use super::figure::{Figure, copied};
use super::html::Escaped;
use super::{FIGURES, STYLE};
use crate::language::Language;
use crate::text::Slugs;

/// A page with one example alone: it fits its width, is played, and says of each note why it lasts as long as it does. The
/// page needs no other file, and nothing from outside.
///
/// The figure has a lasting name, that of the piece: `page.html#example-duo`. To have several in one page, take the element
/// `figure` and the drawings of each, and the style and the script of one of them; the script serves all.
///
/// ```
/// use book::{Language, figure_page};
/// use cartella::{BarLength, Document, Options};
///
/// let document = Document::parse("voice Cantus clef C1\n  sb A4 B lg C5 //\n");
/// let aligned = document.score(BarLength::Breve);
/// let page = figure_page(&aligned, Options::default(), "A duo", Language::English);
/// assert!(page.starts_with("<!DOCTYPE html>") && page.contains("id=\"example-a-duo\""));
/// ```
pub fn figure_page(
    aligned: &Aligned<'_>,
    options: Options,
    name: &str,
    language: Language,
) -> String {
    let mut bare = aligned.clone();
    let heading = std::mem::take(&mut bare.score.heading);
    let title = heading.full_title().unwrap_or_else(|| name.to_owned());
    let id = format!("example-{}", Slugs::default().of(name));
    let source = heading.source.as_ref().map_or_else(String::new, |source| {
        format!(" <span class=\"source\">({})</span>", Escaped(source))
    });
    let mut drawings = Drawings::default();
    let said = language.words();
    let figure = Figure {
        aligned: &bare,
        options,
        slug: &id,
        caption: format!("{}{source}", Escaped(&title)),
        words: title.clone(),
        copied: copied(aligned),
        strips: None,
        critical: Vec::new(),
        notes: Vec::new(),
        recording: None,
        downloads: Vec::new(),
    };
    let figure = figure.written(&mut drawings, said);
    // Figures of several such pages may stand in one: so each has its own drawings, under its own names.
    let drawings = drawings.written().replace(" id=\"", &format!(" id=\"{id}-"));
    let figure = figure.replace("<use href=\"#", &format!("<use href=\"#{id}-"));
    let drawings = drawings.replace("<use href=\"#", &format!("<use href=\"#{id}-"));
    format!(
        "<!DOCTYPE html>\n<html lang=\"{lang}\" xml:lang=\"{lang}\" xmlns=\"http://www.w3.org/1999/xhtml\">\n<head>\n\
         <meta charset=\"utf-8\"/>\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n\
         <title>{title}</title>\n<link rel=\"icon\" href=\"data:,\"/>\n<style>\n{STYLE}</style>\n</head>\n<body>\n<main>\n\
         {drawings}{figure}</main>\n<script>\n//<![CDATA[\n{FIGURES}//]]>\n</script>\n</body>\n</html>\n",
        lang = language.code(),
        title = Escaped(&title),
    )
}
