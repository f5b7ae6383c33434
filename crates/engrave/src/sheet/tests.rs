use score::{BarLength, Card, Excerpt, Plan, Score, SheetBody, SheetPart, Table, align, reckon};

use super::*;
use crate::frame::Ink;
use crate::{audit, pdf};

fn text(paragraphs: &[&str]) -> SheetBody {
    SheetBody::Text(paragraphs.iter().map(|one| (*one).to_owned()).collect())
}

fn of_parts(parts: Vec<(&str, SheetBody)>) -> Sheet {
    let part = |(heading, body): (&str, SheetBody)| SheetPart { heading: heading.to_owned(), body };
    Sheet {
        title: "A piece".to_owned(),
        facts: vec!["20 breves".to_owned(), "final D".to_owned()],
        parts: parts.into_iter().map(part).collect(),
    }
}

fn set(parts: Vec<(&str, SheetBody)>) -> Book {
    let book = sheet(&of_parts(parts), Options::default(), &Paper::A4);
    for page in &book.pages {
        assert_eq!(audit(page), []);
    }
    book
}

/// The words of a page in order, each line with its distance from the left margin in spaces.
fn words(page: &Picture) -> Vec<(String, Sp)> {
    let of_block = |block: &Block| {
        let left = Sp((block.x - page.margin) / page.space);
        let words = block.frame.items.iter().filter_map(move |item| match &item.ink {
            Ink::Letters { letters, at } => Some((letters.text.clone(), left + at.x)),
            _ => None,
        });
        words.collect::<Vec<_>>()
    };
    page.blocks.iter().flat_map(of_block).collect()
}

fn two_voices() -> Score {
    let text = "voice Cantus clef C1\n sb A4 B mn C5 sb D mn C[#] sb D _ br A4 lg D5\n\
                voice Tenor clef C4\n sb D3 G3 F E D3 _ br D3 lg D3\n";
    let piece = notation::parse(text).piece;
    let mut score = align(&piece, reckon(&piece), BarLength::Breve).score;
    score.annotations.figures = score.interval_figures(0, 1);
    score
}

#[test]
fn headings_stand_in_the_margin() {
    let book = set(vec![("Subject", text(&["D A G"])), ("Dissonance", text(&["none"]))]);
    let words = words(&book.pages[0]);
    let at = |wanted: &str| words.iter().find(|(word, _)| word == wanted).unwrap().1;
    assert_eq!((at("Subject"), at("Dissonance")), (Sp::ZERO, Sp::ZERO));
    assert!(at("D A G") > Sp(8.0) && at("D A G") == at("none"));
}

#[test]
fn a_long_cell_is_broken() {
    let long = "a remark that is much longer than the page is wide, ".repeat(6);
    let rows = vec![vec!["1".to_owned(), long], vec!["2".to_owned(), "short".to_owned()]];
    let columns = vec!["no.".to_owned(), "remark".to_owned()];
    let book = set(vec![("Entries", SheetBody::Table(Table { columns, rows }))]);
    let remarks = words(&book.pages[0]).into_iter().filter(|(word, _)| word.contains("remark"));
    assert!(remarks.count() > 3);
}

#[test]
fn what_has_no_room_goes_on_another_page() {
    let rows = (0..200).map(|row| vec![row.to_string(), "exact".to_owned()]).collect();
    let book = set(vec![("Entries", SheetBody::Table(Table { columns: Vec::new(), rows }))]);
    assert!(book.pages.len() > 2);
    let rows: usize = book
        .pages
        .iter()
        .map(|page| words(page).iter().filter(|(word, _)| word == "exact").count())
        .sum();
    assert_eq!(rows, 200);
    assert!(words(&book.pages[1]).iter().any(|(word, _)| word == "A piece"), "a running title");
    assert_eq!(book.contents.len(), 1);
}

#[test]
fn a_little_too_much_is_set_smaller() {
    let paragraphs: Vec<&str> = vec!["one line"; 62];
    let book = set(vec![("Practise", text(&paragraphs))]);
    assert_eq!(book.pages.len(), 1);
    assert!(book.pages[0].space < SPACES[0]);
}

#[test]
fn music_and_plan_on_one_page() {
    let score = two_voices();
    let card = |number: u32| Card {
        title: format!("bar {number} D seventh"),
        music: Excerpt::bars(number..=number + 1).of(&score).unwrap(),
    };
    let book = set(vec![
        ("", SheetBody::Plan(Plan::of(&score))),
        ("Duo", SheetBody::Reduction(Box::new(score.clone()))),
        ("Cadences", SheetBody::Cards(vec![card(1), card(2), card(1), card(3)])),
    ]);
    let systems: Vec<u32> = book.pages[0].blocks.iter().filter_map(Block::system).collect();
    assert_eq!(systems, [1, 2, 3, 4, 5]);
    // Each music has voices of its own, by their whole names.
    assert_eq!(book.pages[0].voices.len(), 10);
    assert!(book.pages[0].voices.iter().all(|name| ["Cantus", "Tenor"].contains(&name.as_str())));
    let figures = book.pages[0].blocks.iter().flat_map(|block| &block.frame.items);
    assert!(figures.filter(|item| item.role == crate::Role::Figure).count() > 10);
    let file = pdf(&book, None).unwrap();
    let file = String::from_utf8_lossy(&file);
    assert!(file.contains("pdfuaid"), "it says that it is accessible");
    let numbers = |system: usize| {
        let systems = book.pages[0].blocks.iter().filter(|block| block.system().is_some());
        let items = &systems.collect::<Vec<_>>()[system].frame.items;
        items.iter().filter_map(|item| item.of).map(|of| of.bar_number).max()
    };
    assert_eq!(
        (numbers(1), numbers(2)),
        (Some(2), Some(3)),
        "bars of an excerpt keep their numbers"
    );
}

#[test]
fn an_empty_page() {
    let book = sheet(&Sheet::default(), Options::default(), &Paper::A4);
    assert_eq!((book.pages.len(), audit(&book.pages[0])), (1, Vec::new()));
}
