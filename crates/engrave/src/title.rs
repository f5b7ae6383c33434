//! The title of a piece, with its source and its editor, and the editor's notes if wanted.

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

/// Lines of notes are not longer than this, so that the eye finds the next: some 80 letters.
const LONGEST_NOTE_LINE: Sp = Sp(75.0);

/// The title block across the whole width; nothing where the piece has no heading.
pub(crate) fn frame(
    heading: &Heading,
    notes: &[String],
    width: Sp,
    letterer: &Letterer,
    signs: &Signs,
) -> Option<Frame> {
    let mut items = Vec::new();
    let mut y = Sp::ZERO;
    let mut line = |text: &str, face: Face, size: Sp, at_right: bool, y: Sp| {
        let set = letterer.set(text, face, size);
        // A line that is too long is set smaller.
        let letters = if set.width > width {
            letterer.set(text, face, size * (width / set.width))
        } else {
            set
        };
        let x = if at_right { width - letters.width } else { (width - letters.width) / 2.0 };
        let at = Point::new(x.max(Sp::ZERO), y);
        items.push(Item { role: Role::Title, of: None, ink: Ink::Letters { letters, at } });
    };
    if let Some(title) = &heading.title {
        y += Sp(2.6);
        line(title, Face::Roman, Sp(4.0), false, y);
        y += Sp(1.6);
    }
    if let Some(source) = &heading.source {
        y += Sp(2.0);
        line(source, Face::Italic, Sp(2.4), false, y);
        y += Sp(0.7);
    }
    if let Some(editor) = &heading.editor {
        y += Sp(1.9);
        line(editor, Face::Roman, Sp(2.1), true, y);
        y += Sp(0.5);
    }
    for note in notes {
        y += Sp(0.8);
        let measure = width.min(LONGEST_NOTE_LINE);
        for letters in lines(note, measure, letterer) {
            y += NOTE_LINE;
            let at = Point::new((width - measure) / 2.0, y);
            items.push(Item { role: Role::Title, of: None, ink: Ink::Letters { letters, at } });
        }
        y += Sp(0.6);
    }
    let area = items.iter().filter_map(|item| item.area(signs)).reduce(Area::and)?;
    let area = Area { top: Sp::ZERO, bottom: y, ..area };
    Some(Frame { items, staves: Vec::new(), area: Some(area) })
}

/// A note in lines that are no wider than the measure; a longer word is set smaller.
fn lines(note: &str, measure: Sp, letterer: &Letterer) -> Vec<Lettering> {
    let set = |text: &str| letterer.set(text, Face::Roman, NOTE_SIZE);
    let space = set(" ").width;
    let mut lines: Vec<String> = Vec::new();
    let mut reached = Sp::ZERO;
    for word in note.split_whitespace() {
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
        letterer.set(line, Face::Roman, NOTE_SIZE * (measure / letters.width))
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
        let lines = lines("a note that is somewhat longer than one line", measure, &letterer);
        assert!(lines.len() > 1);
        assert!(lines.iter().all(|line| line.width <= measure));
        let text: Vec<&str> = lines.iter().map(|line| line.text.as_str()).collect();
        assert_eq!(text.join(" "), "a note that is somewhat longer than one line");
    }

    #[test]
    fn a_word_wider_than_the_measure_is_set_smaller() {
        let letterer = Letterer::default();
        let lines = lines(&"m".repeat(60), Sp(20.0), &letterer);
        assert_eq!(lines.len(), 1);
        assert!(lines[0].width <= Sp(20.001) && lines[0].size < NOTE_SIZE);
    }
}
