//! Examples in slats: a caption, the music, the critical notes.

use cartella::Mm;
use engrave::{BlockKind, Face, Frame, Ink, Role};

use super::blocks::{Look, Room, Setter, run, stack};
use super::drawn::{BETWEEN, extent};
use super::goal::{Goal, Spot};
use super::paragraph::{Line, Setting};
use super::sheet::Sheet;
use super::slat::Slat;
use crate::numbering::in_source;
use crate::text::{Inline, Width};

/// An example that takes no more than this part of a page is not divided.
const WHOLE: f64 = 0.62;

impl Setter<'_> {
    /// Examples one after another; two that are half as wide beside one another.
    pub(super) fn figures(&self, figures: &[usize], slats: &mut Vec<Slat>) {
        let is_half =
            |place: &usize| self.book.manuscript.figures[*place].options.width == Width::Half;
        let mut rest = figures;
        while let Some((first, after)) = rest.split_first() {
            match after.split_first() {
                Some((second, after)) if is_half(first) && is_half(second) => {
                    slats.push(self.row(&[*first, *second]));
                    rest = after;
                }
                _ if is_half(first) => {
                    slats.push(self.row(&[*first]));
                    rest = after;
                }
                _ => {
                    self.figure(*first, slats);
                    rest = after;
                }
            }
        }
    }

    fn caption(&self, place: usize, width: Mm) -> Vec<Line> {
        let figure = &self.book.manuscript.figures[place];
        let (said, size) = (self.said(), self.sheet.small() * 1.05);
        let label = format!("{} {}", said.example, figure.number);
        // The bold face has old figures alone, whose 1 is read as a capital I.
        let mut runs = vec![run(&label, Look { face: Face::Italic, size })];
        if !figure.caption.is_empty() {
            runs.push(run(". ", Look { face: Face::Italic, size }));
            runs.extend(self.runs(&figure.caption, Look { face: Face::Roman, size }));
        }
        if let Some(source) = in_source(figure, said) {
            runs.push(run(&format!(" ({source})"), Look { face: Face::Italic, size }));
        }
        let lines = self.words(Role::SheetWords);
        lines.lines(&runs, width, Setting::Left)
    }

    /// A slat with a caption, and how high it is.
    fn captioned(&self, place: usize, left: Mm, slat: &mut Slat) -> Mm {
        let size = self.sheet.small() * 1.05;
        let leading = Sheet::leading(size);
        let lines = self.caption(place, self.drawn[place].width);
        let count = lines.len();
        for (number, line) in lines.into_iter().enumerate() {
            slat.put(line, left, size + leading * number as f64);
        }
        slat.goals.push((Goal::Figure(place), Mm(0.0)));
        leading * count as f64 + size * 0.5
    }

    /// The words that stand where there is no music.
    fn not_drawn(&self, place: usize) -> Vec<Line> {
        let size = self.sheet.small();
        let text = [Inline::Text(format!("[{}]", self.said().not_drawn))];
        let runs = self.runs(&text, Look { face: Face::Italic, size });
        self.words(Role::SheetWords).lines(&runs, self.drawn[place].width, Setting::Left)
    }

    /// Examples beside one another: one slat.
    fn row(&self, places: &[usize]) -> Slat {
        let mut slat = Slat::new(Mm(0.0), self.sheet.size * 1.1);
        let left = |number: usize| (self.drawn[places[0]].width + BETWEEN) * number as f64;
        let heads: Vec<Mm> = (0..places.len())
            .map(|number| self.captioned(places[number], left(number), &mut slat))
            .collect();
        let head = heads.into_iter().fold(Mm(0.0), Mm::max);
        // The first systems of both begin at one height.
        let top = |place: usize| self.drawn[place].systems.first().map_or(Mm(0.0), |s| extent(s).0);
        let highest = places.iter().map(|place| top(*place)).fold(Mm(0.0), Mm::min);
        for (number, place) in places.iter().enumerate() {
            let mut bottom = head;
            if self.drawn[*place].systems.is_empty() {
                for line in self.not_drawn(*place) {
                    bottom += Sheet::leading(self.sheet.small());
                    slat.put(line, left(number), bottom - self.sheet.small() * 0.3);
                }
            }
            for system in &self.drawn[*place].systems {
                let y = head - highest + system.1;
                self.put_system(*place, system, (left(number), y), &mut slat);
                bottom = bottom.max(head - highest + extent(system).1);
            }
            let size = self.sheet.small() * 0.95;
            let room = Room { left: left(number), width: self.drawn[*place].width, size };
            if self.book.manuscript.figures[*place].options.report {
                bottom += size * 0.6;
                for line in self.critical_lines(*place, room) {
                    bottom += Sheet::leading(size);
                    slat.put(line, room.left, bottom - size * 0.3);
                }
            }
            slat.height = slat.height.max(bottom);
        }
        slat.height += self.sheet.size * 0.9;
        slat
    }

    /// An example over the whole width: its caption with its first system, then the others.
    fn figure(&self, place: usize, slats: &mut Vec<Slat>) {
        let from = slats.len();
        let mut first = Slat::new(Mm(0.0), self.sheet.size * 1.1);
        let head = self.captioned(place, Mm(0.0), &mut first);
        first.height = head;
        let systems = &self.drawn[place].systems;
        if systems.is_empty() {
            for line in self.not_drawn(place) {
                first.height += Sheet::leading(self.sheet.small());
                let baseline = first.height - self.sheet.small() * 0.3;
                first.put(line, Mm(0.0), baseline);
            }
        }
        slats.push(first);
        for (number, system) in systems.iter().enumerate() {
            let (top, bottom) = extent(system);
            let down = -(top - system.1);
            if number == 0 {
                let slat = &mut slats[from];
                self.put_system(place, system, (Mm(0.0), head + down), slat);
                slat.height = head + bottom - top;
            } else {
                let white = (top - extent(&systems[number - 1]).1).max(Mm(2.0));
                let mut slat = Slat::new(bottom - top, white);
                self.put_system(place, system, (Mm(0.0), down), &mut slat);
                slats.push(slat);
            }
        }
        if self.book.manuscript.figures[place].options.report {
            let room = Room { size: self.sheet.small() * 0.95, ..self.room() };
            let mut notes = stack(self.critical_lines(place, room), room);
            if let Some(last) = slats.last_mut() {
                last.stays |= !notes.is_empty();
            }
            let paragraph = self.new_paragraph();
            for slat in &mut notes {
                slat.paragraph = paragraph;
            }
            slats.extend(notes);
        }
        let whole: Mm = slats[from..].iter().map(|slat| slat.height + slat.before).sum();
        let count = slats.len();
        if whole <= self.sheet.room() * WHOLE {
            slats[from..count - 1].iter_mut().for_each(|slat| slat.stays = true);
        }
        slats[count - 1].height += self.sheet.size * 0.9;
    }

    /// Puts a system into a slat, with links from the numbers of its notes.
    fn put_system(
        &self,
        place: usize,
        (x, _, kind, frame): &(Mm, Mm, BlockKind, Frame),
        (left, y): (Mm, Mm),
        slat: &mut Slat,
    ) {
        let at = (left + *x, y);
        let notes = self.book.manuscript.notes.iter().enumerate();
        for (note, number) in notes.filter_map(|(note, of)| {
            let here = of.at.as_ref().is_some_and(|pointed| pointed.figure == place);
            here.then(|| (note, of.number.to_string()))
        }) {
            let words = frame.items.iter().find_map(|item| match &item.ink {
                Ink::Letters { letters, at }
                    if item.role == Role::MarkWords && letters.text.trim() == number =>
                {
                    Some((letters, at))
                }
                _ => None,
            });
            let Some((letters, place)) = words else { continue };
            let (width, height) = (Mm(letters.width.0), Mm(letters.size.0));
            let corner = (at.0 + Mm(place.x.0), at.1 + Mm(place.y.0) - height * 0.75);
            slat.goals.push((Goal::InPicture(note), corner.1));
            let size = (width, height);
            slat.spots.push(Spot { at: corner, size, goal: Goal::Note(note), words: number });
        }
        slat.frames.push((at.0, at.1, *kind, frame.clone()));
    }

    fn critical_lines(&self, place: usize, room: Room) -> Vec<Line> {
        let mut lines = Vec::new();
        for (letter, text) in &self.drawn[place].critical {
            let look = Look { face: Face::Italic, size: room.size };
            let runs =
                [run(&format!("{letter} "), look), run(text, Look { face: Face::Roman, ..look })];
            lines.extend(self.words(Role::SheetWords).lines(&runs, room.width, Setting::Left));
        }
        lines
    }

    /// The critical notes of all examples of a chapter.
    pub(super) fn report(&self, chapter: usize, slats: &mut Vec<Slat>) {
        let figures = self.book.manuscript.figures.iter().enumerate();
        let with_notes: Vec<usize> = figures
            .filter(|(place, figure)| {
                figure.chapter == chapter
                    && !figure.options.report
                    && !self.drawn[*place].critical.is_empty()
            })
            .map(|(place, _)| place)
            .collect();
        if with_notes.is_empty() {
            return;
        }
        let size = self.sheet.size * 1.3;
        let text = [Inline::Text(self.said().critical.to_owned())];
        let mut heading = self.heading(&text, Look { face: Face::Roman, size }, Role::SheetHeading);
        for slat in &mut heading {
            slat.before = self.sheet.size * 1.8;
        }
        slats.extend(heading);
        let room = Room { size: self.sheet.small(), ..self.room() };
        for place in with_notes {
            let number = &self.book.manuscript.figures[place].number;
            let look = Look { face: Face::Italic, size: room.size };
            let mut label = run(&format!("{} {number}", self.said().example), look);
            label.goal = Some(Goal::Figure(place));
            let mut lines = self.words(Role::SheetWords).lines(&[label], room.width, Setting::Left);
            lines.extend(self.critical_lines(place, room));
            slats.extend(stack(lines, room));
        }
    }
}
