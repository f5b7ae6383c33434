//! What stands before and behind the text: title, contents, index of examples.

use cartella::Mm;
use engrave::{BlockKind, Face, Role};

use super::blocks::{Look, Room, Setter, run, word};
use super::goal::Goal;
use super::paragraph::{Line, Setting};
use super::sheet::Sheet;
use super::slat::Slat;
use crate::numbering::in_source;
use crate::text::{Block, Inline, plain};

impl Setter<'_> {
    /// The title page and the contents.
    pub(super) fn front(&self) -> Vec<Slat> {
        let mut slats = self.title();
        let mut contents = self.over(self.said().contents);
        for (place, chapter) in self.book.manuscript.chapters.iter().enumerate() {
            let number = chapter.number.map_or_else(String::new, |number| format!("{number}"));
            let title = plain(&chapter.title);
            let title = if title.is_empty() { self.said().preface } else { title.as_str() };
            contents.push(self.entry(&number, title, Goal::Chapter(place), 0));
            for block in &chapter.blocks {
                if let Block::Heading { level: 1, text, slug } = block {
                    let goal = Goal::Heading(place, slug.clone());
                    contents.push(self.entry("", &plain(text), goal, 1));
                }
            }
        }
        if !self.book.manuscript.figures.is_empty() {
            contents.push(self.entry("", self.said().examples, Goal::Index, 0));
        }
        slats.extend(contents);
        slats
    }

    fn title(&self) -> Vec<Slat> {
        let manuscript = &self.book.manuscript;
        let size = self.sheet.size * 2.8;
        let runs = self.runs(&manuscript.title, Look { face: Face::Roman, size });
        let width = self.sheet.measure();
        let title = self.words(Role::Title).lines(&runs, width, Setting::Centred);
        let down = self.sheet.room() * 0.24;
        let mut page = Slat { kind: BlockKind::Title, ..Slat::new(down, Mm(0.0)) };
        let put = |lines: Vec<Line>, leading: Mm, page: &mut Slat| {
            for line in lines {
                page.height += leading;
                let baseline = page.height;
                page.put(line, Mm(0.0), baseline);
            }
        };
        put(title, size * 1.15, &mut page);
        if !manuscript.subtitle.is_empty() {
            let size = self.sheet.size * 1.3;
            let runs = self.runs(&manuscript.subtitle, Look { face: Face::Italic, size });
            page.height += self.sheet.size * 1.2;
            let lines = self.words(Role::Heading).lines(&runs, width, Setting::Centred);
            put(lines, size * 1.3, &mut page);
        }
        if let Some(author) = &manuscript.options.author {
            let size = self.sheet.size * 1.3;
            let runs = [run(author, Look { face: Face::Roman, size })];
            page.height += self.sheet.size * 3.0;
            let lines = self.words(Role::Heading).lines(&runs, width, Setting::Centred);
            put(lines, size * 1.3, &mut page);
        }
        page.begins = true;
        vec![page]
    }

    /// A heading that begins a page.
    pub(super) fn over(&self, words: &str) -> Vec<Slat> {
        let text = [Inline::Text(words.to_owned())];
        let look = Look { face: Face::Roman, size: self.sheet.size * 1.9 };
        let mut slats = self.heading(&text, look, Role::Title);
        if let Some(first) = slats.first_mut() {
            first.begins = true;
        }
        if let Some(last) = slats.last_mut() {
            last.height += self.sheet.size * 1.6;
        }
        slats
    }

    /// An entry with the number of its page at the right edge.
    fn entry(&self, number: &str, words: &str, goal: Goal, level: usize) -> Slat {
        let size = if level == 0 { self.sheet.size } else { self.sheet.small() };
        let page = self.page_of(&goal);
        let mut page_run = run(&page, Look { face: Face::Roman, size });
        page_run.goal = Some(goal.clone());
        let indent = size * if level == 0 { 1.8 } else { 2.6 };
        let mut run = run(words, Look { face: Face::Roman, size });
        run.goal = Some(goal);
        let before = if level == 0 { size * 0.35 } else { Mm(0.0) };
        self.row_of_index((number, &[run], page_run), indent, size, before)
    }

    /// A number, words and a page, on as many lines as the words need.
    fn row_of_index(
        &self,
        (number, words, page): (&str, &[super::paragraph::Run], super::paragraph::Run),
        indent: Mm,
        size: Mm,
        before: Mm,
    ) -> Slat {
        let measure = self.sheet.measure();
        let room = Room { left: indent, width: measure - indent - size * 3.5, size };
        let set = self.words(Role::SheetWords);
        let lines = set.lines(words, room.width, Setting::Left);
        let leading = Sheet::leading(size);
        let mut slat = Slat::new(leading * lines.len().max(1) as f64, before);
        if !number.is_empty() {
            let letters = self.letterer.set(number, Face::Roman, engrave::Sp(size.0));
            slat.words.push(word(Role::SheetWords, letters, Mm(0.0), size));
        }
        let last = size + leading * lines.len().saturating_sub(1) as f64;
        for (place, line) in lines.into_iter().enumerate() {
            slat.put(line, indent, size + leading * place as f64);
        }
        let width = Mm(self.letterer.set(&page.text, page.face, engrave::Sp(size.0)).width.0);
        for line in set.lines(&[page], measure, Setting::Left) {
            slat.put(line, measure - width, last);
        }
        slat
    }

    /// The index of examples.
    pub(super) fn index(&self) -> Vec<Slat> {
        let figures = &self.book.manuscript.figures;
        if figures.is_empty() {
            return Vec::new();
        }
        let mut slats = self.over(self.said().examples);
        if let Some(first) = slats.first_mut() {
            first.goals.push((Goal::Index, Mm(0.0)));
        }
        let size = self.sheet.small() * 1.05;
        let widest = figures.iter().map(|figure| {
            self.letterer.set(&figure.number, Face::Roman, engrave::Sp(size.0)).width.0
        });
        let indent = Mm(widest.fold(0.0, f64::max)) + size;
        for (place, figure) in figures.iter().enumerate() {
            let goal = Goal::Figure(place);
            let caption = plain(&figure.caption);
            let words = if caption.is_empty() { figure.reference.clone() } else { caption };
            let mut runs = vec![run(&words, Look { face: Face::Roman, size })];
            if let Some(source) = in_source(figure, self.said()) {
                runs.push(run(&format!(" ({source})"), Look { face: Face::Italic, size }));
            }
            for run in &mut runs {
                run.goal = Some(goal.clone());
            }
            let mut page = run(&self.page_of(&goal), Look { face: Face::Roman, size });
            page.goal = Some(goal);
            slats.push(self.row_of_index((&figure.number, &runs, page), indent, size, size * 0.2));
        }
        slats
    }
}
