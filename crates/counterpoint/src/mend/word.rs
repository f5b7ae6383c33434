//! The word of a note or rest taken apart, so that one thing in it is changed and the rest kept.

use notation::NoteSign;
use rudiments::{Accidental, Place, Step, Tone};

/// `F#[n]4.^?=5/2` in its parts: the place, its signs, octave, dot, and the marks after it. Of
/// several notes at once the first is taken apart, the others go with the rest.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Word<'w> {
    /// A letter or a position; `_` for a rest, with all that belongs to it.
    body: String,
    printed: &'w str,
    editorial: &'w str,
    octave: String,
    /// Other notes of the same event.
    others: &'w str,
    dot: &'w str,
    marks: &'w str,
}

impl<'w> Word<'w> {
    /// The parts of a word; the point of a completing note is left out.
    pub(crate) fn new(word: &'w str) -> Option<Word<'w>> {
        let word = word.strip_prefix('.').unwrap_or(word);
        let begins = |mark: &str| word.find(mark);
        let signs = NoteSign::ALL.iter().map(|sign| sign.description().typed);
        let marks = signs.chain(["="]).filter_map(begins).min().unwrap_or(word.len());
        let (word, marks) = word.split_at(marks);
        let dot = word.find('.').unwrap_or(word.len());
        let (word, dot) = word.split_at(dot);
        let (word, others) = word.split_at(word.find('+').unwrap_or(word.len()));
        let body = match word.chars().next()? {
            '_' => word.len(),
            letter if Step::from_letter(letter).is_some() => 1,
            _ => word.find(|c: char| c != '-' && !c.is_ascii_digit()).unwrap_or(word.len()),
        };
        let (body, rest) = word.split_at(body);
        let printed = usize::from(rest.starts_with(['#', 'b', 'n']));
        let (printed, rest) = rest.split_at(printed);
        let editorial = rest.find(']').filter(|_| rest.starts_with('[')).map_or(0, |end| end + 1);
        let (editorial, octave) = rest.split_at(editorial);
        let (body, octave) = (body.to_owned(), octave.to_owned());
        Some(Word { body, printed, editorial, octave, others, dot, marks })
    }

    /// As it is typed.
    pub(crate) fn text(&self) -> String {
        let Word { body, printed, editorial, octave, others, dot, marks } = self;
        format!("{body}{printed}{editorial}{octave}{others}{dot}{marks}")
    }

    /// Whether its octave is typed.
    pub(crate) fn has_octave(&self) -> bool {
        !self.octave.is_empty()
    }

    /// Whether it is a place on the staff rather than a letter.
    pub(crate) fn is_place(&self) -> bool {
        self.body.ends_with(|c: char| c.is_ascii_digit())
    }

    /// With a dot, or without; a dot that is there stays as it is.
    pub(crate) fn dotted(self, dotted: bool) -> Word<'w> {
        let dot = match (dotted, self.dot) {
            (false, _) => "",
            (true, "") => ".",
            (true, dot) => dot,
        };
        Word { dot, ..self }
    }

    /// With another sign before it.
    pub(crate) fn signed(self, sign: Accidental) -> Word<'w> {
        let printed = match sign {
            Accidental::Sharp => "#",
            Accidental::Flat => "b",
            Accidental::Natural => "n",
        };
        Word { printed, ..self }
    }

    /// At another tone.
    pub(crate) fn at_tone(self, tone: Tone, octave: bool) -> Word<'w> {
        let octave = if octave { tone.octave.to_string() } else { String::new() };
        Word { body: tone.step.to_string(), octave, ..self }
    }

    /// At another place of the staff.
    pub(crate) fn at_place(self, place: Place) -> Word<'w> {
        Word { body: place.to_string(), ..self }
    }
}

/// So many rests as they are typed; nothing for none.
pub(crate) fn rests(count: usize) -> Option<String> {
    match count {
        0 => None,
        1 => Some("_".to_owned()),
        count => Some(format!("_*{count}")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_is_put_together_as_it_was() {
        for word in ["F#[n]4.^%?=5/2", "D4+A4.", "_", "_2", "6#", "-1", "Bb", "b", "D.+", "D=3"] {
            assert_eq!(Word::new(word).unwrap().text(), word);
        }
    }

    #[test]
    fn one_thing_is_changed() {
        let word = |word| Word::new(word).unwrap();
        assert_eq!(word(".F#.^").dotted(false).text(), "F#^");
        assert_eq!(word("F4=3").dotted(true).text(), "F4.=3");
        assert_eq!(word("Fn4").signed(Accidental::Sharp).text(), "F#4");
        assert_eq!(word("F#").at_tone(Tone::new(Step::G, 3), true).text(), "G#3");
        assert_eq!(word("-1#.").at_place(12).text(), "12#.");
    }
}
