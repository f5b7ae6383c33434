//! The words of a page: its title, its headings, paragraphs and tables.

use score::Table;

use super::table::Columns;
use super::{BETWEEN_PARTS, Strip, UNDER_HEADING};
use crate::fonts::Face;
use crate::frame::{BlockKind, Frame, Ink, Item, Role};
use crate::glyphs::Signs;
use crate::lettering::{CAPITAL_HEIGHT, DESCENT, Letterer, Lettering};
use crate::title;
use crate::units::{Area, Point, Sp};

/// The sizes of words, and from one line to the next.
const TITLE: Sp = Sp(3.4);
const BODY: Sp = Sp(2.4);
const HEADING: Sp = Sp(2.6);
const LINE: Sp = Sp(2.9);

/// Between two paragraphs, or two rows of a table, beside the distance of lines.
const BETWEEN_PARAGRAPHS: Sp = Sp(0.5);
const BETWEEN_ROWS: Sp = Sp(0.3);

/// Between the title and the facts on one line, at least.
const BETWEEN: Sp = Sp(4.0);

/// The line under the title.
const RULE: Sp = Sp(0.12);

/// Sets words.
#[derive(Clone, Copy)]
pub(super) struct Words<'s> {
    pub(super) letterer: &'s Letterer,
    pub(super) signs: &'s Signs,
}

impl Words<'_> {
    pub(super) fn heading(&self, text: &str) -> Lettering {
        self.letterer.set(text, Face::Italic, HEADING)
    }

    /// A text in lines of that width.
    pub(super) fn lines(&self, text: &str, width: Sp, face: Face) -> Vec<Lettering> {
        title::lines(text, width, face, BODY, self.letterer)
    }

    /// The title, and the facts behind it or, where they have no room there, under it; a line under both.
    pub(super) fn title(&self, text: &str, facts: &[String], width: Sp) -> Strip {
        let facts = facts.join(" \u{b7} ");
        let titles = title::lines(text, width, Face::Roman, TITLE, self.letterer);
        let behind = self.letterer.set(&facts, Face::Roman, BODY);
        let (mut items, mut y) = (Vec::new(), Sp::ZERO);
        let together = match titles.as_slice() {
            [one] => one.width + BETWEEN + behind.width <= width,
            _ => titles.is_empty() && behind.width <= width,
        };
        for letters in titles {
            y += TITLE * if items.is_empty() { CAPITAL_HEIGHT } else { 1.15 };
            items.push(word(Role::Title, letters, Sp::ZERO, y));
        }
        if together {
            y = y.max(BODY * CAPITAL_HEIGHT);
            let x = width - behind.width;
            items.push(word(Role::SheetWords, behind, x, y));
        } else {
            for letters in self.lines(&facts, width, Face::Roman) {
                y += LINE;
                items.push(word(Role::SheetWords, letters, Sp::ZERO, y));
            }
        }
        items.retain(
            |item| !matches!(&item.ink, Ink::Letters { letters, .. } if letters.text.is_empty()),
        );
        y += TITLE * DESCENT + Sp(0.5);
        let (from, to) = (Point::new(Sp::ZERO, y), Point::new(width, y));
        let ink = Ink::Line { from, to, thickness: RULE };
        items.push(Item { role: Role::SheetWords, of: None, ink });
        let frame = self.frame(items, y + RULE);
        Strip { stays: true, ..Strip::of(BlockKind::Title, frame, Sp::ZERO) }
    }

    /// A heading over a drawing.
    pub(super) fn over(&self, heading: &str) -> Option<Strip> {
        if heading.is_empty() {
            return None;
        }
        let letters = self.heading(heading);
        let items = vec![word(Role::SheetHeading, letters, Sp::ZERO, HEADING * CAPITAL_HEIGHT)];
        let height = HEADING * (CAPITAL_HEIGHT + DESCENT) + UNDER_HEADING;
        let frame = self.frame(items, height);
        Some(Strip { stays: true, ..Strip::of(BlockKind::Text, frame, BETWEEN_PARTS) })
    }

    /// Puts a heading into the margin beside a strip.
    pub(super) fn put_beside(&self, heading: &str, strip: &mut Strip) {
        if heading.is_empty() {
            return;
        }
        let letters = self.heading(heading);
        // On the line of what stands beside it.
        let item = word(Role::SheetHeading, letters, Sp::ZERO, BODY * CAPITAL_HEIGHT);
        if let Some((_, _, _, frame)) = strip.frames.first_mut() {
            frame.items.insert(0, item);
        }
    }

    /// Paragraphs in a room that begins there and is so wide, each a strip.
    pub(super) fn paragraphs(&self, texts: &[String], (left, width): (Sp, Sp)) -> Vec<Strip> {
        let paragraph = |text: &String| {
            let lines = self.lines(text, width, Face::Roman);
            self.row(vec![(left, lines)], BETWEEN_PARAGRAPHS)
        };
        texts.iter().map(paragraph).collect()
    }

    /// A table in a room that begins there and is so wide, each row a strip. What stands over its columns
    /// is in italics.
    pub(super) fn table(&self, table: &Table, (left, width): (Sp, Sp)) -> Vec<Strip> {
        let columns = Columns::of(self.widest_cells(table), width);
        let cells = |row: &[String], face: Face| {
            let cell = |(place, text): (usize, &String)| {
                let (x, width) = columns.place(place)?;
                Some((left + x, self.lines(text, width, face)))
            };
            self.row(row.iter().enumerate().filter_map(cell).collect(), BETWEEN_ROWS)
        };
        let mut strips = Vec::new();
        if !table.columns.is_empty() {
            strips.push(Strip { stays: true, ..cells(&table.columns, Face::Italic) });
        }
        strips.extend(table.rows.iter().map(|row| cells(row, Face::Roman)));
        strips
    }

    /// How wide the widest cell of each column is.
    fn widest_cells(&self, table: &Table) -> Vec<Sp> {
        let count = table.rows.iter().map(Vec::len).chain([table.columns.len()]).max();
        let mut widest = vec![Sp::ZERO; count.unwrap_or(0)];
        let heads = table.columns.iter().map(|text| (text, Face::Italic)).enumerate();
        let cells = table.rows.iter();
        let cells = cells.flat_map(|row| row.iter().map(|text| (text, Face::Roman)).enumerate());
        for (place, (text, face)) in heads.chain(cells) {
            let line = self.letterer.set(text, face, BODY);
            // A hair more, so that what just fits is not broken.
            widest[place] = widest[place].max(line.width + Sp(0.01));
        }
        widest
    }

    /// Texts beside one another, each in its lines from its place on.
    fn row(&self, cells: Vec<(Sp, Vec<Lettering>)>, before: Sp) -> Strip {
        let count = cells.iter().map(|(_, lines)| lines.len()).max().unwrap_or(0).max(1);
        let mut items = Vec::new();
        for (x, lines) in cells {
            for (number, letters) in lines.into_iter().enumerate() {
                let y = BODY * CAPITAL_HEIGHT + LINE * number as f64;
                items.push(word(Role::SheetWords, letters, x, y));
            }
        }
        let height = BODY * (CAPITAL_HEIGHT + DESCENT) + LINE * (count - 1) as f64;
        let before = before + LINE - BODY * (CAPITAL_HEIGHT + DESCENT);
        Strip::of(BlockKind::Text, self.frame(items, height), before)
    }

    /// A frame of items from its top to a height.
    fn frame(&self, items: Vec<Item>, height: Sp) -> Frame {
        let area = items.iter().filter_map(|item| item.area(self.signs)).reduce(Area::and);
        let (left, right) = area.map_or((Sp::ZERO, Sp::ZERO), |area| (area.left, area.right));
        let area = Area::new(left, Sp::ZERO, right, height);
        Frame { items, area: Some(area), ..Frame::default() }
    }

    /// The title of a card, from a place on: its words, and how high they are with the white under them.
    pub(super) fn card(&self, text: &str, width: Sp) -> (Frame, Sp) {
        let lines = title::lines(text, width, Face::Italic, BODY, self.letterer);
        let count = lines.len().max(1);
        let line = |(number, letters): (usize, Lettering)| {
            let y = BODY * CAPITAL_HEIGHT + LINE * number as f64;
            word(Role::SheetWords, letters, Sp::ZERO, y)
        };
        let items = lines.into_iter().enumerate().map(line).collect();
        let height = BODY * (CAPITAL_HEIGHT + DESCENT) + LINE * (count - 1) as f64 + Sp(0.6);
        (self.frame(items, height), height)
    }
}

fn word(role: Role, letters: Lettering, x: Sp, baseline: Sp) -> Item {
    let at = Point::new(x, baseline);
    Item { role, of: None, ink: Ink::Letters { letters: Box::new(letters), at } }
}
