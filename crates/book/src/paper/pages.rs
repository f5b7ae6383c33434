//! Pages, filled with slats, with the footnotes of each at its foot.

use std::collections::BTreeMap;

use cartella::{Mm, Picture};
use engrave::{Area, Block, BlockKind, Entry, Face, Frame, Item, Link, LinkTarget, Role, Sp};

use super::blocks::{Setter, rule, word};
use super::goal::{Goal, Spot};
use super::slat::{Slat, moved};
use crate::text::plain;
use crate::whole::Book;

/// A space of a page: all words and drawings of a book are measured in millimetres.
const SPACE: Mm = Mm(1.0);

/// All pages.
pub(super) struct Filled {
    pages: Vec<Picture>,
    spots: Vec<(usize, Spot)>,
    /// Where goals are: page, from 1, and how far down.
    pub(super) goals: BTreeMap<Goal, (usize, Mm)>,
}

/// A page while it is filled.
#[derive(Default)]
struct Page {
    slats: Vec<(Mm, Slat)>,
    notes: Vec<Slat>,
    calls: Vec<usize>,
    /// How far down it is filled.
    down: Mm,
    /// How high its footnotes are.
    foot: Mm,
    begins_chapter: bool,
}

/// Between the text and the footnotes, with the line there.
fn over_notes(setter: &Setter<'_>) -> Mm {
    setter.sheet.size * 1.4
}

/// Fills pages with slats.
pub(super) fn fill(slats: Vec<Slat>, setter: &Setter<'_>) -> Filled {
    let room = setter.sheet.room();
    let mut pages: Vec<Page> = Vec::new();
    let mut slats = slats.into_iter().peekable();
    while slats.peek().is_some() {
        // What stays together: slats up to one that does not hold the next.
        let mut group = Vec::new();
        for slat in slats.by_ref() {
            let stays = slat.stays;
            group.push(slat);
            if !stays {
                break;
            }
        }
        let height: Mm = group.iter().map(|slat| slat.before + slat.height).sum();
        let new: Vec<usize> = {
            let calls = group.iter().flat_map(|slat| slat.calls.iter().copied());
            let known = pages.last().map_or(&[][..], |page| page.calls.as_slice());
            calls.filter(|call| !known.contains(call)).collect()
        };
        let notes: Vec<Slat> = new.iter().flat_map(|call| setter.note(*call)).collect();
        let foot: Mm = notes.iter().map(|slat| slat.height).sum();
        let fits = |page: &Page| {
            let line = if page.foot + foot > Mm(0.0) { over_notes(setter) } else { Mm(0.0) };
            page.down + height + page.foot + foot + line <= room + Mm(1e-6)
        };
        let begins = group.first().is_some_and(|slat| slat.begins);
        if begins || !pages.last().is_some_and(fits) {
            pages.push(Page { begins_chapter: begins, ..Page::default() });
        }
        let Some(page) = pages.last_mut() else { continue };
        for slat in group {
            // White at the head of a page is only kept where a chapter begins.
            if !page.slats.is_empty() || slat.begins {
                page.down += slat.before;
            }
            // What is higher than a page begins the next all the same.
            let height = slat.height;
            page.slats.push((page.down, slat));
            page.down += height;
        }
        page.calls.extend(new);
        page.foot += foot;
        page.notes.extend(notes);
    }
    placed(pages, setter)
}

/// Gives everything its place.
fn placed(pages: Vec<Page>, setter: &Setter<'_>) -> Filled {
    let mut filled = Filled { pages: Vec::new(), spots: Vec::new(), goals: BTreeMap::new() };
    let mut running = String::new();
    let (left, top) = (setter.sheet.side, setter.sheet.top);
    for (place, page) in pages.into_iter().enumerate() {
        let number = place + 1;
        let mut blocks: Vec<Block> = Vec::new();
        if let Some(chapter) = chapter_begun(&page, setter) {
            running = chapter;
        }
        blocks.extend(head(number, page.begins_chapter, &running, setter));
        let bottom = setter.sheet.room() - page.foot;
        let has_notes = !page.notes.is_empty();
        let mut y = bottom;
        let mut all = page.slats;
        if has_notes {
            let mut line = Slat::new(Mm(0.0), Mm(0.0));
            line.words.push(rule(Mm(0.0), setter.sheet.measure() * 0.3, Mm(0.0)));
            all.push((bottom - over_notes(setter) * 0.4, line));
        }
        for note in page.notes {
            let height = note.height;
            all.push((y, note));
            y += height;
        }
        let mut paragraph = usize::MAX;
        for (y, slat) in all {
            for (goal, down) in slat.goals {
                filled.goals.entry(goal).or_insert((number, top + y + down));
            }
            let spots = slat.spots.into_iter().map(|spot| (number, spot.moved(left, top + y)));
            filled.spots.extend(spots);
            if !slat.words.is_empty() {
                let words = slat.words.into_iter().map(|item| moved(item, Mm(0.0), y));
                let goes_on = slat.paragraph == paragraph && slat.paragraph != 0;
                match blocks.last_mut().filter(|last| goes_on && last.kind == slat.kind) {
                    Some(last) => last.frame.items.extend(words),
                    None => blocks.push(words_block(slat.kind, words.collect(), (left, top))),
                }
            }
            paragraph = slat.paragraph;
            for (x, down, kind, frame) in slat.frames {
                blocks.push(Block { x: left + x, y: top + y + down, kind, frame });
                paragraph = usize::MAX;
            }
        }
        let sheet = &setter.sheet;
        filled.pages.push(Picture {
            title: None,
            composer: None,
            source: None,
            voices: Vec::new(),
            width: sheet.width,
            height: sheet.height,
            margin: sheet.side,
            space: SPACE,
            page_begins: Vec::new(),
            blocks,
        });
    }
    filled
}

fn words_block(kind: BlockKind, items: Vec<Item>, (x, y): (Mm, Mm)) -> Block {
    let area = Some(Area::new(Sp(0.0), Sp(0.0), Sp(0.0), Sp(0.0)));
    Block { x, y, kind, frame: Frame { items, area, ..Frame::default() } }
}

/// The title of the chapter that begins on a page.
fn chapter_begun(page: &Page, setter: &Setter<'_>) -> Option<String> {
    let goals = page.slats.iter().flat_map(|(_, slat)| &slat.goals);
    let begun = goals.filter_map(|(goal, _)| match goal {
        Goal::Chapter(place) => {
            let title = plain(&setter.book.manuscript.chapters[*place].title);
            Some(if title.is_empty() { setter.said().preface.to_owned() } else { title })
        }
        Goal::Index => Some(setter.said().examples.to_owned()),
        _ => None,
    });
    begun.last()
}

/// The head of a page: its number at the outer edge; the title of the book on even pages, that of the chapter on odd
/// ones (common practice). The title page has none, and where a chapter begins the number stands at the foot.
fn head(number: usize, begins: bool, running: &str, setter: &Setter<'_>) -> Option<Block> {
    if number == 1 {
        return None;
    }
    let (sheet, size) = (&setter.sheet, setter.sheet.small());
    let measure = sheet.measure();
    let set = |text: &str, face| setter.letterer.set(text, face, Sp(size.0));
    let figures = set(&number.to_string(), Face::Roman);
    let width = Mm(figures.width.0);
    let mut items = Vec::new();
    if begins {
        let x = (measure - width) / 2.0;
        items.push(word(Role::PageHead, figures, x, sheet.room() + sheet.foot * 0.5));
    } else {
        let title = setter.book.title();
        let is_odd = number % 2 == 1;
        let words = if is_odd { running } else { title.as_str() };
        let baseline = -sheet.top * 0.36;
        let x = if is_odd { measure - width } else { Mm(0.0) };
        items.push(word(Role::PageHead, figures, x, baseline));
        if !words.is_empty() {
            let letters = set(words, Face::Italic).no_wider_than(Sp(measure.0 * 0.8));
            let x = (measure - Mm(letters.width.0)) / 2.0;
            items.push(word(Role::PageHead, letters, x, baseline));
        }
    }
    Some(words_block(BlockKind::Running, items, (sheet.side, sheet.top)))
}

impl Filled {
    /// The pages with their links and the outline.
    pub(super) fn book(self, book: &Book) -> cartella::Book {
        let link = |(page, spot): (usize, Spot)| {
            let to = match &spot.goal {
                Goal::Address(address) => LinkTarget::Address(address.clone()),
                goal => {
                    let (page, y) = self.goals.get(goal)?;
                    LinkTarget::Page(*page, *y)
                }
            };
            Some(Link { page, at: spot.at, size: spot.size, to, words: spot.words })
        };
        let links = self.spots.into_iter().filter_map(link).collect();
        let entry = |title: String, page: usize, y: Mm| Entry {
            title: Some(title),
            composer: None,
            source: None,
            page,
            y,
        };
        let mut contents = vec![entry(book.title(), 1, Mm(0.0))];
        for (place, chapter) in book.manuscript.chapters.iter().enumerate() {
            let title = plain(&chapter.title);
            let preface = book.language().words().preface;
            let title = if title.is_empty() { preface.to_owned() } else { title };
            if let Some((page, y)) = self.goals.get(&Goal::Chapter(place)) {
                contents.push(entry(title, *page, *y));
            }
        }
        if let Some((page, y)) = self.goals.get(&Goal::Index) {
            contents.push(entry(book.language().words().examples.to_owned(), *page, *y));
        }
        let language = Some(book.language().code().to_owned());
        cartella::Book { pages: self.pages, contents, links, language }
    }
}
