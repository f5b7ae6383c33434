//! Text in slats.

use std::cell::Cell;
use std::collections::BTreeMap;

use cartella::Mm;
use engrave::{BlockKind, Face, Ink, Item, Letterer, Point, Role, Sp};

use super::drawn::Drawn;
use super::goal::Goal;
use super::paragraph::{Line, Run, Setting, Words};
use super::sheet::Sheet;
use super::slat::Slat;
use crate::language::Words as Said;
use crate::numbering::pointed_words;
use crate::text::{Block, Chapter, Inline, Target, plain};
use crate::whole::Book;

/// Sets the text of a book.
pub(super) struct Setter<'s> {
    pub(super) book: &'s Book,
    pub(super) letterer: &'s Letterer,
    pub(super) sheet: Sheet,
    /// The drawings of all examples.
    pub(super) drawn: &'s [Drawn],
    /// The pages of goals, as they came out last time.
    pub(super) numbers: &'s BTreeMap<Goal, usize>,
    /// So many paragraphs have a number.
    paragraphs: Cell<usize>,
}

/// How words stand: from where on, how wide, in letters how large.
#[derive(Clone, Copy)]
pub(super) struct Room {
    pub(super) left: Mm,
    pub(super) width: Mm,
    pub(super) size: Mm,
}

impl Room {
    /// The same, narrower by so much on the left.
    fn indented(self, by: Mm) -> Room {
        Room { left: self.left + by, width: self.width - by, ..self }
    }
}

/// The looks of words.
#[derive(Clone, Copy)]
pub(super) struct Look {
    pub(super) face: Face,
    pub(super) size: Mm,
}

impl<'s> Setter<'s> {
    pub(super) fn new(
        book: &'s Book,
        letterer: &'s Letterer,
        sheet: Sheet,
        drawn: &'s [Drawn],
        numbers: &'s BTreeMap<Goal, usize>,
    ) -> Setter<'s> {
        Setter { book, letterer, sheet, drawn, numbers, paragraphs: Cell::new(0) }
    }

    /// The words of the book's language.
    pub(super) fn said(&self) -> &'static Said {
        self.book.language().words()
    }

    pub(super) fn words(&self, role: Role) -> Words<'_> {
        Words { letterer: self.letterer, language: self.book.language().syllables(), role }
    }

    /// The number of the page on which something stands.
    pub(super) fn page_of(&self, goal: &Goal) -> String {
        self.numbers.get(goal).map_or_else(|| "00".to_owned(), usize::to_string)
    }

    /// The whole book, from the top.
    pub(super) fn slats(&self) -> Vec<Slat> {
        let mut slats = self.front();
        for (place, chapter) in self.book.manuscript.chapters.iter().enumerate() {
            self.chapter(place, chapter, &mut slats);
        }
        slats.extend(self.index());
        for slat in slats.iter_mut().filter(|slat| slat.paragraph == 0) {
            slat.paragraph = self.new_paragraph();
        }
        slats
    }

    /// The room between the margins.
    pub(super) fn room(&self) -> Room {
        Room { left: Mm(0.0), width: self.sheet.measure(), size: self.sheet.size }
    }

    fn chapter(&self, place: usize, chapter: &Chapter, slats: &mut Vec<Slat>) {
        let from = slats.len();
        if let Some(number) = chapter.number {
            let size = self.sheet.size * 1.9;
            let label = format!("{} {number}", self.said().chapter);
            let small = Look { face: Face::Italic, size: self.sheet.size * 1.15 };
            let mut opening = self.heading(&[Inline::Text(label)], small, Role::SheetHeading);
            let title = self.heading(&chapter.title, Look { face: Face::Roman, size }, Role::Title);
            for slat in &mut opening {
                slat.before = self.sheet.room() * 0.09;
            }
            slats.extend(opening);
            slats.extend(title);
            if let Some(last) = slats.last_mut() {
                last.height += self.sheet.size * 2.2;
            }
        }
        if chapter.number.is_none() {
            slats.extend(self.over(self.said().preface));
        }
        self.blocks(&chapter.blocks, self.room(), slats);
        if chapter.report {
            self.report(place, slats);
        }
        if let Some(first) = slats.get_mut(from) {
            first.begins = true;
            first.goals.push((Goal::Chapter(place), Mm(0.0)));
        }
    }

    /// A heading: its lines stay together, and with what follows.
    pub(super) fn heading(&self, text: &[Inline], look: Look, role: Role) -> Vec<Slat> {
        let runs = self.runs(text, look);
        let lines = self.words(role).lines(&runs, self.sheet.measure(), Setting::Left);
        let kind = if role == Role::Title { BlockKind::Title } else { BlockKind::Text };
        let (leading, paragraph) = (look.size * 1.15, self.new_paragraph());
        let slat = |(number, line): (usize, Line)| {
            let before = if number == 0 { look.size * 0.9 } else { Mm(0.0) };
            let mut slat = Slat { stays: true, kind, paragraph, ..Slat::new(leading, before) };
            slat.put(line, Mm(0.0), look.size * 0.9);
            slat
        };
        lines.into_iter().enumerate().map(slat).collect()
    }

    /// A number that no other paragraph has.
    pub(super) fn new_paragraph(&self) -> usize {
        self.paragraphs.set(self.paragraphs.get() + 1);
        self.paragraphs.get()
    }

    pub(super) fn blocks(&self, blocks: &[Block], room: Room, slats: &mut Vec<Slat>) {
        for block in blocks {
            self.block(block, room, slats);
        }
    }

    fn block(&self, block: &Block, room: Room, slats: &mut Vec<Slat>) {
        match block {
            Block::Paragraph(text) => {
                slats.extend(self.paragraph(text, room, Face::Roman, Setting::Justified));
                // What is announced stands on the same page.
                if let Some(last) = slats.last_mut().filter(|_| plain(text).ends_with(':')) {
                    last.stays = true;
                }
            }
            Block::Heading { level, text, slug } => {
                let (face, size) = match level {
                    1 => (Face::Roman, room.size * 1.3),
                    2 => (Face::Italic, room.size * 1.15),
                    _ => (Face::Italic, room.size),
                };
                let mut set = self.heading(text, Look { face, size }, Role::SheetHeading);
                if let Some(first) = set.first_mut() {
                    first.before = room.size * 1.6;
                    let chapter = self.chapter_of(slug);
                    first.goals.push((Goal::Heading(chapter, slug.clone()), Mm(0.0)));
                }
                slats.extend(set);
            }
            Block::Quote(blocks) => {
                let indent = room.size * 2.0;
                let inner = room.indented(indent);
                let inner = Room { width: inner.width - indent, size: room.size * 0.93, ..inner };
                self.blocks(blocks, inner, slats);
            }
            Block::List { first, items } => self.list(*first, items, room, slats),
            Block::Table { head, rows } => self.table(head, rows, room, slats),
            Block::Code(text) => self.code(text, room, slats),
            Block::Rule => {
                let star = [Inline::Text("*".to_owned())];
                slats.extend(self.paragraph(&star, room, Face::Roman, Setting::Centred));
            }
            Block::Figures(figures) => self.figures(figures, slats),
        }
    }

    /// The chapter of a heading.
    fn chapter_of(&self, name: &str) -> usize {
        let has = |chapter: &Chapter| {
            chapter.blocks.iter().any(|block| match block {
                Block::Heading { slug, .. } => slug == name,
                _ => false,
            })
        };
        self.book.manuscript.chapters.iter().position(has).unwrap_or(0)
    }

    /// A paragraph: its first two lines stay together, and its last two.
    pub(super) fn paragraph(
        &self,
        text: &[Inline],
        room: Room,
        face: Face,
        setting: Setting,
    ) -> Vec<Slat> {
        let runs = self.runs(text, Look { face, size: room.size });
        let lines = self.words(Role::SheetWords).lines(&runs, room.width, setting);
        let paragraph = self.new_paragraph();
        let mut slats = stack(lines, room);
        for slat in &mut slats {
            slat.paragraph = paragraph;
        }
        slats
    }

    fn list(&self, first: Option<u64>, items: &[Vec<Block>], room: Room, slats: &mut Vec<Slat>) {
        let indent = room.size * 1.7;
        for (place, blocks) in items.iter().enumerate() {
            let from = slats.len();
            self.blocks(blocks, room.indented(indent), slats);
            let label = first.map_or_else(|| "•".to_owned(), |n| format!("{}.", n + place as u64));
            let letters = self.letterer.set(&label, Face::Roman, Sp(room.size.0));
            let x = room.left + indent - room.size * 0.5 - Mm(letters.width.0);
            if let Some(slat) = slats.get_mut(from) {
                let item = word(Role::SheetWords, letters, x, room.size);
                slat.words.insert(0, item);
                if place > 0 {
                    slat.before = room.size * 0.2;
                }
            }
        }
    }

    fn code(&self, text: &str, room: Room, slats: &mut Vec<Slat>) {
        let inner = Room { size: room.size * 0.9, ..room.indented(room.size * 2.0) };
        // Blanks at the beginning of a line say something here.
        let lines = text.trim_end().lines().map(|line| line.replace(' ', "\u{a0}"));
        let lines = lines.map(|line| {
            let letters = self.letterer.set(&line, Face::Roman, Sp(inner.size.0));
            let letters = letters.no_wider_than(Sp(inner.width.0));
            let item = word(Role::SheetWords, letters, Mm(0.0), Mm(0.0));
            Line { items: vec![item], ..Line::default() }
        });
        slats.extend(stack(lines.collect(), inner));
    }

    fn table(
        &self,
        head: &[Vec<Inline>],
        rows: &[Vec<Vec<Inline>>],
        room: Room,
        slats: &mut Vec<Slat>,
    ) {
        let size = room.size * 0.93;
        let count = rows.iter().map(Vec::len).chain([head.len()]).max().unwrap_or(0);
        if count == 0 {
            return;
        }
        let gap = size * 1.2;
        let natural = |place: usize| {
            let cells = rows.iter().map(|row| (row.as_slice(), Face::Roman));
            let cells = cells.chain([(head, Face::Italic)]).filter_map(|(row, face)| {
                let text = plain(row.get(place)?);
                Some(self.letterer.set(&text, face, Sp(size.0)).width.0)
            });
            cells.fold(0.0, f64::max) + 0.1
        };
        let natural: Vec<f64> = (0..count).map(natural).collect();
        let free = room.width.0 - gap.0 * (count - 1) as f64;
        let widths = shared_out(&natural, free);
        let row = |cells: &[Vec<Inline>], face: Face| {
            let mut set = Vec::new();
            let mut x = room.left;
            for (place, cell) in cells.iter().enumerate() {
                let runs = self.runs(cell, Look { face, size });
                let width = Mm(widths[place]);
                set.push((x, self.words(Role::SheetWords).lines(&runs, width, Setting::Left)));
                x += width + gap;
            }
            let lines = set.iter().map(|(_, lines)| lines.len()).max().unwrap_or(0).max(1);
            let leading = Sheet::leading(size);
            let mut slat = Slat::new(leading * lines as f64, size * 0.15);
            for (x, lines) in set {
                for (place, line) in lines.into_iter().enumerate() {
                    slat.put(line, x, size + leading * place as f64);
                }
            }
            slat
        };
        let width = widths.iter().sum::<f64>() + gap.0 * (count - 1) as f64;
        let rule = |slat: &mut Slat, y: Mm| {
            slat.words.push(rule(room.left, Mm(width), y));
        };
        let from = slats.len();
        let mut top = Slat { stays: true, before: room.size * 0.7, ..row(head, Face::Italic) };
        let below = top.height + size * 0.1;
        rule(&mut top, Mm(0.0));
        rule(&mut top, below);
        top.height += size * 0.3;
        slats.push(top);
        slats.extend(rows.iter().map(|cells| row(cells, Face::Roman)));
        if let Some(last) = slats[from..].last_mut() {
            let y = last.height + size * 0.1;
            rule(last, y);
            last.height += size * 0.5;
        }
        // The last two rows stay together.
        if let [.., before, _] = &mut slats[from..] {
            before.stays = true;
        }
    }

    /// The text of a footnote, as it stands at the foot of a page.
    pub(super) fn note(&self, place: usize) -> Vec<Slat> {
        let manuscript = &self.book.manuscript;
        let note = &manuscript.notes[place];
        let size = self.sheet.small();
        let room = Room { size, ..self.room() };
        let mut slats = Vec::new();
        let goal = if note.at.is_some() { Goal::InPicture(place) } else { Goal::Call(place) };
        let mut label = run(&note.number.to_string(), Look { face: Face::Roman, size });
        (label.size, label.rise, label.goal) = (size * 0.7, size * 0.33, Some(goal));
        let mut lead = vec![label, run(" ", Look { face: Face::Roman, size })];
        if let Some(words) = pointed_words(manuscript, note, self.said().example) {
            let mut pointed = run(&format!("{words}: "), Look { face: Face::Italic, size });
            pointed.goal = Some(Goal::InPicture(place));
            lead.push(pointed);
        }
        let blocks = note.blocks.as_slice();
        let (first, rest) = match blocks {
            [Block::Paragraph(text), rest @ ..] => (text.as_slice(), rest),
            rest => (&[][..], rest),
        };
        lead.extend(self.runs(first, Look { face: Face::Roman, size }));
        let lines = self.words(Role::Note).lines(&lead, room.width, Setting::Justified);
        slats.extend(stack(lines, room));
        self.blocks(rest, room, &mut slats);
        let paragraph = self.new_paragraph();
        for slat in &mut slats {
            slat.before = Mm(0.0);
            slat.paragraph = paragraph;
            // Notes to notes would have no end.
            slat.calls.clear();
        }
        if let Some(first) = slats.first_mut() {
            first.goals.push((Goal::Note(place), Mm(0.0)));
        }
        slats
    }

    /// The runs of some inlines.
    pub(super) fn runs(&self, inlines: &[Inline], look: Look) -> Vec<Run> {
        let mut runs = Vec::new();
        self.add_runs(inlines, look, None, &mut runs);
        runs
    }

    fn add_runs(&self, inlines: &[Inline], look: Look, goal: Option<&Goal>, runs: &mut Vec<Run>) {
        for inline in inlines {
            match inline {
                Inline::Text(text) | Inline::Code(text) => {
                    let text = text.replace(['\n', '\t'], " ");
                    runs.push(Run { goal: goal.cloned(), ..run(&text, look) });
                }
                Inline::Emphasis(inner) => {
                    let face = if look.face == Face::Italic { Face::Roman } else { Face::Italic };
                    self.add_runs(inner, Look { face, ..look }, goal, runs);
                }
                Inline::Strong(inner) => {
                    self.add_runs(inner, Look { face: Face::Bold, ..look }, goal, runs);
                }
                Inline::Break => match runs.last_mut() {
                    Some(last) => last.breaks = true,
                    None => runs.push(Run { breaks: true, ..run("", look) }),
                },
                Inline::Link { to, text, by_page, .. } => {
                    let to = leading_to(to);
                    match (&to, text.is_empty()) {
                        (Some(goal), true) => {
                            let words = self.named(goal, *by_page);
                            runs.push(Run { goal: to.clone(), ..run(&words, look) });
                        }
                        (Some(goal), false) if *by_page => {
                            self.add_runs(text, look, to.as_ref(), runs);
                            let words = format!(" ({})", self.named(goal, true));
                            runs.push(Run { goal: to.clone(), ..run(&words, look) });
                        }
                        _ => self.add_runs(text, look, to.as_ref(), runs),
                    }
                }
                Inline::Note(note) => {
                    let number = self.book.manuscript.notes[*note].number.to_string();
                    runs.push(Run {
                        size: look.size * 0.7,
                        rise: look.size * 0.33,
                        goal: Some(Goal::Note(*note)),
                        calls: Some(*note),
                        ..run(&number, look)
                    });
                }
                Inline::Figure(_) => {}
            }
        }
    }

    /// What a goal is called: `Example 4.12`, `page 17`.
    fn named(&self, goal: &Goal, by_page: bool) -> String {
        let (said, manuscript) = (self.said(), &self.book.manuscript);
        if by_page && !matches!(goal, Goal::Address(_)) {
            return format!("{}\u{a0}{}", said.page, self.page_of(goal));
        }
        match goal {
            Goal::Address(address) => address.clone(),
            Goal::Figure(figure) => {
                format!("{}\u{a0}{}", said.example, manuscript.figures[*figure].number)
            }
            Goal::Chapter(chapter) => match manuscript.chapters[*chapter].number {
                Some(number) => format!("{}\u{a0}{number}", said.chapter),
                None => said.preface.to_owned(),
            },
            Goal::Heading(chapter, name) => {
                let blocks = &manuscript.chapters[*chapter].blocks;
                let found = blocks.iter().find_map(|block| match block {
                    Block::Heading { slug, text, .. } if slug == name => Some(plain(text)),
                    _ => None,
                });
                found.unwrap_or_default()
            }
            Goal::Note(_) | Goal::Call(_) | Goal::InPicture(_) | Goal::Index => String::new(),
        }
    }
}

/// Lines one below the other.
pub(super) fn stack(lines: Vec<Line>, room: Room) -> Vec<Slat> {
    let (leading, count) = (Sheet::leading(room.size), lines.len());
    let slat = |(place, line): (usize, Line)| {
        let before = if place == 0 { room.size * 0.55 } else { Mm(0.0) };
        let stays = place + 1 < count && (place == 0 || place + 2 == count);
        let mut slat = Slat { stays, ..Slat::new(leading, before) };
        slat.put(line, room.left, room.size);
        slat
    };
    lines.into_iter().enumerate().map(slat).collect()
}

/// Words of one look that lead nowhere.
pub(super) fn run(text: &str, look: Look) -> Run {
    let (goal, calls) = (None, None);
    let Look { face, size } = look;
    Run { text: text.to_owned(), face, size, rise: Mm(0.0), goal, calls, breaks: false }
}

/// Where a link leads on paper.
fn leading_to(target: &Target) -> Option<Goal> {
    match target {
        Target::Typed(_) | Target::Nowhere => None,
        Target::Address(address) => Some(Goal::Address(address.clone())),
        Target::Figure(figure) => Some(Goal::Figure(*figure)),
        Target::Chapter(chapter) => Some(Goal::Chapter(*chapter)),
        Target::Heading(chapter, name) => Some(Goal::Heading(*chapter, name.clone())),
    }
}

/// Words at a place.
pub(super) fn word(role: Role, letters: engrave::Lettering, x: Mm, baseline: Mm) -> Item {
    let at = Point::new(Sp(x.0), Sp(baseline.0));
    Item { role, of: None, ink: Ink::Letters { letters: Box::new(letters), at } }
}

/// A line between words.
pub(super) fn rule(left: Mm, width: Mm, y: Mm) -> Item {
    let from = Point::new(Sp(left.0), Sp(y.0));
    let to = Point::new(Sp(left.0 + width.0), Sp(y.0));
    Item { role: Role::SheetWords, of: None, ink: Ink::Line { from, to, thickness: Sp(0.11) } }
}

/// Widths of columns: as wide as they are where there is room; else narrow ones as they are, and the others share
/// what is left.
fn shared_out(natural: &[f64], free: f64) -> Vec<f64> {
    let mut widths = natural.to_vec();
    let mut open: Vec<usize> = (0..widths.len()).collect();
    let mut left = free;
    if natural.iter().sum::<f64>() <= free {
        return widths;
    }
    loop {
        let share = left / open.len().max(1) as f64;
        let narrow: Vec<usize> =
            open.iter().copied().filter(|place| natural[*place] <= share).collect();
        if narrow.is_empty() {
            for place in open {
                widths[place] = share.max(1.0);
            }
            return widths;
        }
        left -= narrow.iter().map(|place| natural[*place]).sum::<f64>();
        open.retain(|place| !narrow.contains(place));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn narrow_columns_stay_as_they_are() {
        assert_eq!(shared_out(&[10.0, 20.0], 100.0), [10.0, 20.0]);
        assert_eq!(shared_out(&[10.0, 80.0, 90.0], 100.0), [10.0, 45.0, 45.0]);
        assert_eq!(shared_out(&[90.0], 50.0), [50.0]);
    }
}
