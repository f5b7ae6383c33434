//! PDF files as poppler reads them: the words, the fonts, the pages, and every page as a picture
//! beside the one that resvg draws of the same page in SVG.

use std::path::PathBuf;

use engrave::{Book, Look, Paper, pdf, svg};
use suite::{
    LAYOUTS, MADRIGALS, Raster, book, drawn_by_poppler, fixtures, is_installed, madrigal_parts,
    of_poppler, opendata, rendered,
};

/// All fixtures on A4, with the title of each in the parts file.
fn all_fixtures() -> (Book, Vec<String>) {
    let fixtures = fixtures();
    let texts: Vec<&str> = fixtures.iter().map(|(_, text)| text.as_str()).collect();
    let title = |text: &&str| {
        text.lines().find_map(|line| line.strip_prefix("title")).unwrap().trim().to_owned()
    };
    let titles = texts.iter().map(title).collect();
    (book(&texts, LAYOUTS[0], &Look::default(), &Paper::A4), titles)
}

/// The book as a file in a folder that lasts as long as the first of the two.
fn written(book: &Book) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.pdf");
    std::fs::write(&path, pdf(book, Some("Valdeluz examples")).unwrap()).unwrap();
    (folder, path)
}

#[test]
fn words_can_be_found() {
    if !is_installed("pdftotext", "poppler-utils") {
        return;
    }
    let (book, titles) = all_fixtures();
    let (_folder, path) = written(&book);
    let text = of_poppler("pdftotext -layout FILE -", &path);
    for title in &titles {
        assert!(text.contains(title.as_str()), "{title}: {text}");
    }
    for words in ["Valdeluz part-books, fol. 3r", "Prima pars", "the time of two"] {
        assert!(text.contains(words), "{words}: {text}");
    }
    // Of the music nothing is read as text.
    assert!(text.chars().all(|letter| letter.is_whitespace() || letter < '\u{2000}'), "{text}");
}

#[test]
fn the_file_says_what_it_is() {
    if !is_installed("pdftotext", "poppler-utils") {
        return;
    }
    let (book, _) = all_fixtures();
    let (_folder, path) = written(&book);
    let information = of_poppler("pdfinfo FILE", &path);
    let field = |name: &str| {
        let line = information.lines().find_map(|line| line.strip_prefix(name)?.strip_prefix(':'));
        line.map(str::trim)
    };
    assert_eq!(field("Title"), Some("Valdeluz examples"));
    assert!(field("Subject").unwrap().starts_with("Valdeluz part-books, fol."));
    assert_eq!(field("Pages"), Some(book.pages.len().to_string().as_str()));
    assert_eq!(field("Page size"), Some("595.276 x 841.89 pts (A4)"));
    assert_eq!(field("CreationDate"), None);
    let bytes = std::fs::read(&path).unwrap();
    assert!(bytes.windows(9).any(|bytes| bytes == b"/Lang(en)"));
    let fonts = of_poppler("pdffonts FILE", &path);
    let fonts: Vec<&str> = fonts.lines().skip(2).collect();
    assert!(fonts.len() >= 3, "{fonts:?}");
    for font in fonts {
        // Six letters and a plus sign mark a subset (ISO 32000-1, 9.6.4).
        assert_eq!(font.find('+'), Some(6), "{font}");
        assert!(font.contains(" yes yes "), "embedded, a subset: {font}");
    }
}

#[test]
fn each_piece_is_in_the_outline() {
    if !is_installed("pdftotext", "poppler-utils") {
        return;
    }
    let (book, titles) = all_fixtures();
    let (_folder, path) = written(&book);
    let xml = of_poppler("pdftohtml -xml -i -stdout FILE", &path);
    let listed: Vec<&str> = xml
        .lines()
        .filter_map(|line| line.strip_prefix("<item page=\"")?.strip_suffix("</item>"))
        .collect();
    let expected: Vec<String> = titles
        .iter()
        .zip(&book.contents)
        .map(|(title, entry)| format!("{}\">{title}", entry.page))
        .collect();
    assert_eq!(listed, expected);
}

#[test]
fn the_same_book_gives_the_same_bytes() {
    let once = || pdf(&all_fixtures().0, None).unwrap();
    assert!(once() == once());
}

/// Pixels to an inch, and the side of the squares that are compared: about a millimetre.
const DPI: u32 = 200;
const SQUARE: u32 = 8;

/// A picture without so many of its pixels on the left.
fn shifted(raster: &Raster, pixels: u32) -> Raster {
    let row = |row: &[u8]| row[pixels as usize..].to_vec();
    let rows = raster.black.chunks(raster.width as usize).flat_map(row);
    Raster { width: raster.width - pixels, height: raster.height, black: rows.collect() }
}

/// The same picture, as far as two programs draw thin lines alike: poppler moves them to whole
/// pixels. In no square millimetre is the blackness different by more than a quarter; measured on
/// these pages, it is 45 to 51 of 255 at most. What stands a third of a millimetre to the side is
/// seen: 99 and more.
#[test]
fn poppler_draws_the_pages_as_resvg_does() {
    if !is_installed("pdftoppm", "poppler-utils") {
        return;
    }
    let mut books = vec![all_fixtures().0];
    if let Some(opendata) = opendata() {
        let text = madrigal_parts(&opendata, MADRIGALS[1]);
        let look = Look { staff: Look::LARGE_STAFF, ..Look::default() };
        books.push(book(&[&text], LAYOUTS[0], &look, &Paper::LETTER.landscape()));
    }
    for book in books {
        let (_folder, path) = written(&book);
        for (number, page) in (1..).zip(&book.pages) {
            let of_pdf = drawn_by_poppler(&path, number, DPI);
            let of_svg = rendered(&svg(page, &|_| 0), DPI as f32 / 25.4);
            let difference = of_pdf.worst_square(&of_svg, SQUARE);
            assert!(difference < 64, "page {number}: {difference}");
            let of_shifted = of_pdf.worst_square(&shifted(&of_svg, 3), SQUARE);
            println!("page {number}: {difference}, shifted {of_shifted}");
            assert!(of_shifted > 64, "page {number}: a shift is not seen: {of_shifted}");
        }
    }
}

/// The logical structure of a tagged file (ISO 32000-1, 14.7 and 14.8): a section a piece, in it the
/// title as a heading, what else stands over it as paragraphs, and a figure for each system. A general
/// PDF reader tells of it.
#[test]
fn pages_are_tagged() {
    if !is_installed("pdfinfo", "poppler-utils") {
        return;
    }
    let (book, titles) = all_fixtures();
    let (_folder, path) = written(&book);
    assert!(of_poppler("pdfinfo FILE", &path).contains("Tagged:          yes"));
    // That it is PDF/UA (ISO 14289-1, 5) stands in the metadata, and is said only of what was checked.
    assert!(of_poppler("pdfinfo -meta FILE", &path).contains("<pdfuaid:part>1</pdfuaid:part>"));
    let tree = of_poppler("pdfinfo -struct FILE", &path);
    let count = |kind: &str| {
        let kinds = tree.lines().filter_map(|line| line.trim().split([' ', ':']).next());
        kinds.filter(|other| *other == kind).count()
    };
    assert_eq!((count("Document"), count("Sect"), count("H1")), (1, titles.len(), titles.len()));
    let systems = book.pages.iter().flat_map(|page| &page.blocks).filter(|b| b.system().is_some());
    assert_eq!(count("Figure"), systems.count());
    let text = of_poppler("pdfinfo -struct-text FILE", &path);
    for title in titles {
        assert!(text.contains(&format!("H1 \"{title}\"")), "{title}: {text}");
    }
}
