//! On pages, the audit finds nothing either, on any piece, whatever the paper and the size; systems
//! follow one another, and none is alone that need not be.

use engrave::{BlockKind, Look, Mm, Paper, Picture, audit, staves};
use suite::{LAYOUTS, MADRIGALS, book, duos, fixtures, madrigal_parts, opendata, read_score};

/// Both papers, and one of them turned, with usual and with large staves.
fn ways() -> Vec<(Paper, Look)> {
    let large = Look { staff: Look::LARGE_STAFF, ..Look::default() };
    let both = [Look::default(), large].into_iter();
    let upright = both.flat_map(|look| [(Paper::A4, look), (Paper::LETTER, look)]);
    upright.chain([(Paper::A4.landscape(), Look::default())]).collect()
}

/// The numbers of the systems of a page.
fn systems(page: &Picture) -> Vec<u32> {
    page.blocks.iter().filter_map(engrave::Block::system).collect()
}

/// The distances between the systems of a page, in spaces.
fn distances(page: &Picture) -> impl Iterator<Item = f64> {
    let staves = staves(page);
    let between = staves.windows(2).filter(|pair| pair[0].system != pair[1].system);
    let apart = between.map(|pair| (pair[1].bottom - pair[0].bottom) / pair[0].space - 4.0);
    apart.collect::<Vec<f64>>().into_iter()
}

/// Everything that is wrong with the pages of a piece.
fn wrong(text: &str) -> Vec<String> {
    let mut wrong = Vec::new();
    for (paper, look) in ways() {
        let pages = book(&[text], LAYOUTS[0], &look, &paper).pages;
        let mut say = |what: String| wrong.push(format!("{paper:?}, {:?}: {what}", look.staff));
        for (number, page) in pages.iter().enumerate() {
            for finding in audit(page) {
                say(format!("page {}: {finding:?}", number + 1));
            }
            if (page.width, page.height) != (paper.width, paper.height) {
                say("a page is not the paper".to_owned());
            }
            if (page.staff() - look.staff).abs() > Mm(0.001) {
                say(format!("staves of {:?}", page.staff()));
            }
        }
        let numbers: Vec<Vec<u32>> = pages.iter().map(systems).collect();
        let all = numbers.concat();
        if !all.iter().copied().eq(1..=all.len() as u32) {
            say(format!("systems {all:?}"));
        }
        // Where pages hold at least three systems, one can always be moved to the last.
        let (last, before) = (numbers.last().unwrap(), &numbers[..numbers.len() - 1]);
        if last.len() == 1 && before.last().is_some_and(|before| before.len() > 2) {
            say("the last system is alone".to_owned());
        }
        // Only the last page may leave white at its foot, and one whose systems have drifted apart
        // as far as they may.
        for page in &pages[..pages.len() - 1] {
            let lowest = staves(page).last().unwrap().bottom;
            let white = page.height - page.margin - lowest > page.staff() * 2.0;
            if white && distances(page).any(|distance| distance < 1.59 * 8.0) {
                say(format!("white at the foot, from {lowest:?}"));
            }
        }
    }
    wrong
}

#[test]
fn nothing_on_the_fixtures() {
    for (name, text) in fixtures() {
        assert_eq!(wrong(&text), [] as [String; 0], "{name}");
    }
}

#[test]
fn nothing_on_the_madrigals() {
    let Some(opendata) = opendata() else { return };
    for piece in MADRIGALS {
        assert_eq!(wrong(&madrigal_parts(&opendata, piece)), [] as [String; 0], "{piece}");
    }
}

#[test]
fn nothing_on_the_duos() {
    let Some(opendata) = opendata() else { return };
    for (name, xml) in duos(&opendata) {
        let text = read_score(&name, xml.as_ref(), None);
        assert_eq!(wrong(&text), [] as [String; 0], "{name}");
    }
}

/// In a book, what fits on one page is not divided, and what does not begins a page.
#[test]
fn pieces_of_a_book_stay_whole() {
    let fixtures = fixtures();
    let mut texts: Vec<&str> = fixtures.iter().map(|(_, text)| text.as_str()).collect();
    let long = format!("voice A clef C1\n br {}\n", "A4 B ".repeat(400));
    texts.insert(1, &long);
    let book = book(&texts, LAYOUTS[0], &Look::default(), &Paper::A4);
    assert_eq!(book.contents.len(), texts.len());
    for page in &book.pages {
        assert_eq!(audit(page), []);
    }
    let begun = |page: usize| book.contents.iter().filter(|entry| entry.page == page).count();
    assert_eq!(begun(1), 1, "a page may be left half white before a long piece");
    let begins = book.contents[1].page;
    assert!(book.contents[2].page > begins + 2, "it is long");
    // Each short piece begins anew with its system 1, and none goes on over a page.
    for (number, page) in book.pages.iter().enumerate() {
        let first = systems(page)[0];
        let goes_on = number + 1 > begins && number < book.contents[2].page;
        assert!(first == 1 || goes_on, "page {} begins with system {first}", number + 1);
        let heads = page.blocks.iter().filter(|block| block.kind == BlockKind::Running).count();
        assert_eq!(heads, usize::from(number > 0), "a number on all pages but the first");
    }
}

/// Sixty-four voices, a bar of many short notes: smaller staves, but nothing runs off the paper.
#[test]
fn what_is_too_large_becomes_smaller() {
    let crowded: String =
        (1..=40).map(|voice| format!("voice V{voice} clef C1\n mn A4 B A B lg A\n")).collect();
    let open = LAYOUTS.into_iter().find(|layout| layout.staves == score::Staves::Open).unwrap();
    let long_bar = format!("voice A clef C1\n sf {} lg A\n", "A4 B C5 D E F E D ".repeat(8));
    for (text, layout) in [(&crowded, open), (&long_bar, LAYOUTS[0])] {
        let look = Look { staff: Mm(20.0), ..Look::default() };
        let pages = book(&[text], layout, &look, &Paper::A4).pages;
        assert!(pages.iter().all(|page| page.staff() < look.staff && audit(page).is_empty()));
    }
}
