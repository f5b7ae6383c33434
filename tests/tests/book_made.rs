//! The demo book as it is made: its PDF read back by poppler, its site by an XML reader. `crates/book/browser` opens the
//! site in a browser.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::sync::OnceLock;

use book::{Book, FileBody};
use suite::{is_installed, of_poppler, root};

fn demo() -> Book {
    let folder = root().join("fixtures/book");
    let open = |name: &str| fs::read(folder.join(name)).map_err(|error| format!("{name}: {error}"));
    let book = Book::read("book.md", None, &open).unwrap();
    assert_eq!(book.faults(), []);
    book
}

/// The captions of the text, in order: `![The caption](…)`.
fn captions() -> Vec<String> {
    let text = fs::read_to_string(root().join("fixtures/book/book.md")).unwrap();
    let images = text.split("![").skip(1).filter_map(|image| image.split_once(']'));
    images.map(|(caption, _)| caption.to_owned()).collect()
}

/// Words on one line, as a reader takes them.
fn flowed(text: &str) -> String {
    let joined = text.replace("\u{ad}\n", "").replace('\u{ad}', "");
    joined.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn every_example_stands_once_in_the_pdf_in_order() {
    if !is_installed("pdftotext", "poppler-utils") {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("book.pdf");
    fs::write(&file, demo().pdf().unwrap()).unwrap();
    let text = of_poppler("pdftotext FILE -", &file);
    let whole = flowed(&text);
    // The first chapter has its number in each caption.
    let captions = captions();
    assert_eq!(captions.len(), 30);
    let mut before = 0;
    for caption in &captions {
        let places: Vec<usize> =
            whole.match_indices(&format!(". {caption} ")).map(|(at, _)| at).collect();
        let labelled: Vec<usize> = places
            .into_iter()
            .filter(|at| {
                whole[..*at].rsplit_once(' ').is_some_and(|(text, _)| text.ends_with("Example"))
            })
            .collect();
        assert_eq!(labelled.len(), 1, "{caption}: {labelled:?}");
        assert!(labelled[0] > before, "{caption} stands before the one before it");
        before = labelled[0];
    }
    // The contents say on which page each chapter begins.
    let pages: Vec<String> = text.split('\u{c}').map(flowed).collect();
    let contents = pages.iter().find(|page| page.starts_with("Contents")).unwrap();
    for number in 1..=5 {
        let page = 1 + pages
            .iter()
            .position(|page| page.starts_with(&format!("Chapter {number} ")))
            .unwrap();
        assert!(
            contents.contains(&format!(" {page} ")),
            "chapter {number}, page {page}: {contents}"
        );
        assert!(
            pages[page - 1].ends_with(&format!(" {page}")),
            "the number at the foot of page {page}"
        );
    }
    // The index of examples says on which page each stands.
    let index = pages.iter().find(|page| page.starts_with("Index of examples")).unwrap();
    let last = captions.last().unwrap();
    let page = 1 + pages.iter().position(|page| page.contains(&format!(". {last} "))).unwrap();
    let entries = index.split_once(last.as_str()).unwrap().1;
    assert!(
        entries.split(' ').any(|word| word == page.to_string()),
        "{last}, page {page}: {index}"
    );
    let info = of_poppler("pdfinfo FILE", &file);
    assert!(info.contains("Tagged:") && info.contains("yes"), "{info}");
}

/// Nothing reaches over the margins or into other lines: each page is looked over as pages of scores are.
#[test]
fn everything_stands_between_the_margins() {
    let pages = demo().pages();
    for (number, page) in pages.pages.iter().enumerate() {
        let signs = engrave::Signs::all();
        for block in &page.blocks {
            for area in block.frame.items.iter().filter_map(|item| item.area(signs)) {
                let (left, right) = (block.x.0 + area.left.0, block.x.0 + area.right.0);
                let inside =
                    left >= page.margin.0 - 1.5 && right <= page.width.0 - page.margin.0 + 1.5;
                let (top, bottom) = (block.y.0 + area.top.0, block.y.0 + area.bottom.0);
                assert!(inside, "page {}: {left} to {right}", number + 1);
                assert!(
                    top > 5.0 && bottom < page.height.0 - 5.0,
                    "page {}: {top} to {bottom}",
                    number + 1
                );
            }
        }
    }
    // Links lead to pages that are there; those of notes in examples lead both ways.
    let target = |link: &engrave::Link| match &link.to {
        engrave::LinkTarget::Page(page, _) => Some(*page),
        engrave::LinkTarget::Address(_) => None,
    };
    assert!(pages.links.len() > 60, "{}", pages.links.len());
    for link in &pages.links {
        assert!(
            target(link).is_none_or(|page| (1..=pages.pages.len()).contains(&page)),
            "{link:?}"
        );
    }
}

/// The files of the site.
fn site() -> &'static BTreeMap<String, Vec<u8>> {
    static SITE: OnceLock<BTreeMap<String, Vec<u8>>> = OnceLock::new();
    SITE.get_or_init(made)
}

fn made() -> BTreeMap<String, Vec<u8>> {
    let files = demo().site(true).unwrap().into_iter().map(|file| match file.body {
        FileBody::Bytes(bytes) => (file.path, bytes),
        FileBody::Sound(..) => (file.path, Vec::new()),
    });
    files.collect()
}

fn is_page(path: &str) -> bool {
    path.strip_suffix(".html").is_some()
}

/// All that a page names: the attribute, and what it says.
fn named<'p>(page: &'p roxmltree::Document<'_>) -> Vec<(&'p str, &'p str, &'p str)> {
    let elements = page.descendants().filter(roxmltree::Node::is_element);
    let of_element = |node: roxmltree::Node<'p, '_>| {
        let attributes = node.attributes();
        let naming =
            attributes.filter(|one| ["href", "src", "srcset", "action"].contains(&one.name()));
        let name = node.tag_name().name();
        naming.map(move |one| (name, one.name(), one.value())).collect::<Vec<_>>()
    };
    elements.flat_map(of_element).collect()
}

#[test]
fn all_that_a_page_names_is_there_and_nothing_is_outside() {
    let site = site();
    let texts: BTreeMap<&str, &str> = site
        .iter()
        .filter(|(path, _)| is_page(path))
        .map(|(path, bytes)| (path.as_str(), std::str::from_utf8(bytes).unwrap()))
        .collect();
    let parse = |text| {
        let allowed = roxmltree::ParsingOptions { allow_dtd: true, ..Default::default() };
        roxmltree::Document::parse_with_options(text, allowed).unwrap()
    };
    let parsed: BTreeMap<&str, roxmltree::Document<'_>> =
        texts.iter().map(|(path, text)| (*path, parse(text))).collect();
    let ids: BTreeMap<&str, BTreeSet<&str>> = parsed
        .iter()
        .map(|(path, page)| {
            let mut ids = BTreeSet::new();
            for id in page.descendants().filter_map(|node| node.attribute("id")) {
                assert!(ids.insert(id), "{path} has {id} twice");
            }
            (*path, ids)
        })
        .collect();
    let (mut links, mut figures) = (0, 0);
    for (path, page) in &parsed {
        for (element, attribute, to) in named(page) {
            if to == "data:," {
                continue;
            }
            let is_outside = to.contains("//") || to.starts_with("mailto:");
            assert!(!is_outside || element == "a", "{path}: {element} {attribute}={to}");
            if is_outside {
                continue;
            }
            let (file, id) = to.split_once('#').unwrap_or((to, ""));
            let file = if file.is_empty() { path } else { file };
            assert!(site.contains_key(file), "{path} leads to {to}");
            assert!(id.is_empty() || ids[file].contains(id), "{path} leads to {to}");
            links += 1;
        }
        figures += page
            .descendants()
            .filter(|node| node.has_tag_name(("http://www.w3.org/1999/xhtml", "figure")))
            .count();
        // Every picture is said in words.
        for svg in page.descendants().filter(|node| node.tag_name().name() == "svg") {
            let said = svg.attribute("aria-label").is_some_and(|said| !said.is_empty());
            assert!(said || svg.attribute("aria-hidden") == Some("true"), "{path}");
        }
    }
    assert!(links > 5000 && figures == 30, "{links} links, {figures} figures");
    for script in ["book.js", "search-index.js", "book.css"] {
        let text = String::from_utf8_lossy(&site[script]);
        assert!(
            !text.contains("http:") && !text.contains("https:") && !text.contains("@import"),
            "{script}"
        );
    }
}
