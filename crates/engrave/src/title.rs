//! The title of a piece, with the name of the example, its composer, its source and its editor; and
//! the editor's notes, which stand under its last system if wanted.

use score::Heading;

use crate::fonts::Face;
use crate::frame::{Frame, Ink, Item, Role};
use crate::glyphs::Signs;
use crate::lettering::{Letterer, Lettering};
use crate::units::{Area, Point, Sp};

/// The size of notes.
const NOTE_SIZE: Sp = Sp(2.0);

/// From one line of a note to the next.
const NOTE_LINE: Sp = Sp(2.4);

/// From one line of source, composer and editor to the next, in their sizes.
const LINE: f64 = 1.15;

/// Between a source and a composer on one line, at least.
const BETWEEN_SIDES: Sp = Sp(4.0);

/// Between two notes, in addition.
const BETWEEN_NOTES: Sp = Sp(1.0);

/// Lines of notes are not longer than this, so that the eye finds the next: some 80 letters.
const LONGEST_NOTE_LINE: Sp = Sp(75.0);

/// The title block across the whole width: the staves and what stands before them, like a brace.
/// Nothing where the piece has no heading.
pub(crate) fn frame(
    title: Option<&str>,
    heading: &Heading,
    (before, staves): (Sp, Sp),
    letterer: &Letterer,
    signs: &Signs,
) -> Option<Frame> {
    let width = before + staves;
    let mut items = Vec::new();
    let mut y = Sp::ZERO;
    let mut put = |role: Role, letters: Lettering, x: Sp, y: Sp| {
        let at = Point::new(x.max(Sp::ZERO), y);
        items.push(Item { role, of: None, ink: Ink::Letters { letters: letters.into(), at } });
    };
    let centred = |letters: &Lettering| (width - letters.width) / 2.0;
    if let Some(title) = title {
        y -= Sp(1.8);
        for letters in balanced(title, width, Sp(4.0), letterer) {
            y += Sp(4.4);
            let x = centred(&letters);
            put(Role::Title, letters, x, y);
        }
        y += Sp(1.6);
    }
    if let Some(example) = &heading.example {
        y -= Sp(0.7);
        for letters in lines(example, width, Face::Roman, Sp(2.8), letterer) {
            y += Sp(3.1);
            let x = centred(&letters);
            put(Role::Title, letters, x, y);
        }
        y += Sp(1.2);
    }
    y = beneath(heading, staves, letterer, y, &mut |role, letters, x, y| {
        put(role, letters, before + x, y);
    });
    let area = items.iter().filter_map(|item| item.area(signs)).reduce(Area::and)?;
    let area = Area { top: Sp::ZERO, bottom: y, ..area };
    Some(Frame { items, area: Some(area), ..Frame::default() })
}

/// A title in as few lines as it needs, of about the same length, so that no word is left alone.
fn balanced(text: &str, width: Sp, size: Sp, letterer: &Letterer) -> Vec<Lettering> {
    let set = |measure: Sp| lines(text, measure, Face::Roman, size, letterer);
    let widest = set(width);
    let alike = |narrower: &Vec<Lettering>| {
        narrower.len() == widest.len() && narrower.iter().all(|line| line.size == size)
    };
    let narrower = (10..20).map(|part| set(width * (f64::from(part) / 20.0))).find(alike);
    narrower.filter(|_| widest.len() > 1).unwrap_or(widest)
}

/// The editor's notes one under another; nothing where there are none.
pub(crate) fn notes(
    notes: &[String],
    width: Sp,
    letterer: &Letterer,
    signs: &Signs,
) -> Option<Frame> {
    let mut items = Vec::new();
    let mut y = Sp::ZERO;
    let measure = width.min(LONGEST_NOTE_LINE);
    for (number, note) in notes.iter().enumerate() {
        y += if number > 0 { BETWEEN_NOTES } else { Sp::ZERO };
        for letters in lines(note, measure, Face::Roman, NOTE_SIZE, letterer) {
            y += NOTE_LINE;
            let at = Point::new(Sp::ZERO, y);
            let ink = Ink::Letters { letters: letters.into(), at };
            items.push(Item { role: Role::Note, of: None, ink });
        }
    }
    let area = items.iter().filter_map(|item| item.area(signs)).reduce(Area::and)?;
    Some(Frame { items, area: Some(Area { top: Sp::ZERO, ..area }), ..Frame::default() })
}

/// The source on the left and the composer on the right, side by side where there is room, and the
/// editor under the composer (common practice). Where they end.
fn beneath(
    heading: &Heading,
    width: Sp,
    letterer: &Letterer,
    top: Sp,
    put: &mut impl FnMut(Role, Lettering, Sp, Sp),
) -> Sp {
    let set = |text: &Option<String>, face, size: f64| {
        let text = text.as_deref().unwrap_or_default();
        lines(text, width, face, Sp(size), letterer)
    };
    let source = set(&heading.source, Face::Italic, 2.4);
    let composer = set(&heading.composer, Face::Roman, 2.4);
    let editor = set(&heading.editor, Face::Roman, 2.0);
    let is_beside = match (source.as_slice(), composer.as_slice()) {
        ([one], [other]) => one.width + other.width + BETWEEN_SIDES <= width,
        _ => false,
    };
    let mut y = top;
    for letters in source {
        y += letters.size * LINE;
        put(Role::Heading, letters, Sp::ZERO, y);
    }
    if is_beside {
        y = top;
    }
    for letters in composer.into_iter().chain(editor) {
        y += letters.size * LINE;
        let x = width - letters.width;
        put(Role::Heading, letters, x, y);
    }
    if y > top { y + Sp(0.7) } else { y }
}

/// A text in lines that are no wider than the measure; a longer word is set smaller.
pub(crate) fn lines(
    text: &str,
    measure: Sp,
    face: Face,
    size: Sp,
    letterer: &Letterer,
) -> Vec<Lettering> {
    let set = |text: &str| letterer.set(text, face, size);
    let space = set(" ").width;
    let mut lines: Vec<String> = Vec::new();
    let mut reached = Sp::ZERO;
    for word in text.split_whitespace() {
        let width = set(word).width;
        match lines.last_mut() {
            Some(line) if reached + space + width <= measure => {
                line.push(' ');
                line.push_str(word);
                reached += space + width;
            }
            _ => {
                lines.push(word.to_owned());
                reached = width;
            }
        }
    }
    let fitting = |line: &String| {
        let letters = set(line);
        if letters.width <= measure {
            return letters;
        }
        letterer.set(line, face, size * (measure / letters.width))
    };
    lines.iter().map(fitting).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn notes_are_set_in_lines() {
        let letterer = Letterer::default();
        let measure = Sp(20.0);
        let lines = lines(
            "a note that is somewhat longer than one line",
            measure,
            Face::Roman,
            NOTE_SIZE,
            &letterer,
        );
        assert!(lines.len() > 1);
        assert!(lines.iter().all(|line| line.width <= measure));
        let text: Vec<&str> = lines.iter().map(|line| line.text.as_str()).collect();
        assert_eq!(text.join(" "), "a note that is somewhat longer than one line");
    }

    #[test]
    fn no_word_of_a_title_is_left_alone() {
        let letterer = Letterer::default();
        let set = balanced("one two three four five six", Sp(15.0), Sp(2.0), &letterer);
        let words: Vec<usize> = set.iter().map(|line| line.text.split(' ').count()).collect();
        assert_eq!(words, [3, 3]);
    }

    #[test]
    fn a_word_wider_than_the_measure_is_set_smaller() {
        let letterer = Letterer::default();
        let lines = lines(&"m".repeat(60), Sp(20.0), Face::Roman, NOTE_SIZE, &letterer);
        assert_eq!(lines.len(), 1);
        assert!(lines[0].width <= Sp(20.001) && lines[0].size < NOTE_SIZE);
    }
}
