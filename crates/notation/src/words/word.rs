//! The word of a note or rest in its parts, so that one thing in it is changed and all else stays as
//! it was typed.

use std::borrow::Cow;
use std::fmt;

use rudiments::{Accidental, Place, Tone};

use super::{HeadParts, Parts, PlaceWord, event_word};
use crate::Event;

/// `F#[n]4.^?=5/2` in its parts. Of several notes at once the first is taken apart.
///
/// ```
/// use notation::Word;
/// use rudiments::{Step, Tone};
///
/// let word = Word::new("f#.^?").unwrap();
/// assert_eq!(word.clone().dotted(false).to_string(), "f#^?");
/// assert_eq!(word.at_tone(Tone::new(Step::G, 4)).to_string(), "G#4.^?");
/// ```
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Word<'w> {
    /// A letter or a position; of a rest, all that belongs to it.
    place: Cow<'w, str>,
    printed: Cow<'w, str>,
    editorial: Cow<'w, str>,
    octave: Cow<'w, str>,
    others: Cow<'w, str>,
    dot: &'w str,
    marks: &'w str,
}

impl<'w> Word<'w> {
    /// The parts of a word; the point of a completing note is left out. Nothing where the word is no
    /// note and no rest.
    pub fn new(word: &'w str) -> Option<Word<'w>> {
        let (_, Parts { head, others, dot, marks }) =
            event_word(word).ok().filter(|(rest, _)| rest.is_empty())?.1;
        let HeadParts { place, printed, editorial, octave } = head;
        let [place, printed, editorial, octave, others] =
            [place, printed, editorial, octave, others].map(Cow::Borrowed);
        Some(Word { place, printed, editorial, octave, others, dot, marks })
    }

    /// With a dot, or without; a dot that is there stays as it is.
    #[must_use]
    pub fn dotted(self, dotted: bool) -> Word<'w> {
        let dot = match (dotted, self.dot) {
            (false, _) => "",
            (true, "") => ".",
            (true, dot) => dot,
        };
        Word { dot, ..self }
    }

    /// With another printed sign before the note, or none.
    #[must_use]
    pub fn signed(self, sign: Option<Accidental>) -> Word<'w> {
        let printed = sign.map_or(String::new(), |sign| sign.letter().to_string());
        Word { printed: printed.into(), ..self }
    }

    /// With another of the editor's signs above the note, or none.
    #[must_use]
    pub fn edited(self, sign: Option<Accidental>) -> Word<'w> {
        let editorial = sign.map_or(String::new(), |sign| format!("[{}]", sign.letter()));
        Word { editorial: editorial.into(), ..self }
    }

    /// As a letter, with its octave.
    #[must_use]
    pub fn at_tone(self, tone: Tone) -> Word<'w> {
        self.spelled(PlaceWord::Letter(tone.step, Some(tone.octave)))
    }

    /// At another place of the staff.
    #[must_use]
    pub fn at_place(self, place: Place) -> Word<'w> {
        self.spelled(PlaceWord::Position(place))
    }

    pub(crate) fn spelled(self, place: PlaceWord) -> Word<'w> {
        let (place, octave) = match place {
            PlaceWord::Letter(step, octave) => {
                (step.to_string(), octave.map_or(String::new(), |octave| octave.to_string()))
            }
            PlaceWord::Position(place) => (place.to_string(), String::new()),
        };
        Word { place: place.into(), octave: octave.into(), ..self }
    }

    /// Whether its first note is a letter without its octave.
    pub(crate) fn is_bare(&self) -> bool {
        self.octave.is_empty() && self.place.starts_with(|c: char| c.is_ascii_alphabetic())
    }

    /// With its other notes at the tones of an event.
    pub(crate) fn with_others(self, event: &Event, place: impl Fn(Tone) -> PlaceWord) -> Word<'w> {
        let others = event.notes().iter().skip(1);
        let others = others.map(|note| format!("+{}", super::print::head(*note, place(note.tone))));
        Word { others: others.collect::<String>().into(), ..self }
    }

    /// With what has changed from one event to another: its dot and the signs of its first note.
    pub(crate) fn changed(self, from: &Event, to: &Event) -> Word<'w> {
        let mut word = self;
        if from.dot != to.dot {
            word = word.dotted(to.dot.is_some());
        }
        if let (Some(from), Some(to)) = (from.notes().first(), to.notes().first()) {
            if from.printed != to.printed {
                word = word.signed(to.printed);
            }
            if from.editorial != to.editorial {
                word = word.edited(to.editorial);
            }
        }
        word
    }
}

/// As it is typed.
impl fmt::Display for Word<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Word { place, printed, editorial, octave, others, dot, marks } = self;
        write!(f, "{place}{printed}{editorial}{octave}{others}{dot}{marks}")
    }
}

#[cfg(test)]
mod tests {
    use rudiments::Step;

    use super::*;

    #[test]
    fn a_word_is_put_together_as_it_was() {
        for word in
            ["F#[n]4.^%?=5/2", "D4+A4.", "_", "_2", "_*4.", "6#", "-1", "Bb", "b", "D.+", "f?^=4/2"]
        {
            assert_eq!(Word::new(word).unwrap().to_string(), word);
        }
        assert_eq!(Word::new("D4#"), None);
    }

    #[test]
    fn one_thing_is_changed() {
        let word = |word| Word::new(word).unwrap();
        assert_eq!(word(".F#.^").dotted(false).to_string(), "F#^");
        assert_eq!(word("F4=3").dotted(true).to_string(), "F4.=3");
        assert_eq!(word("Fn4").signed(Some(Accidental::Sharp)).to_string(), "F#4");
        assert_eq!(word("F#4").signed(None).to_string(), "F4");
        assert_eq!(word("bb3.").edited(Some(Accidental::Natural)).to_string(), "bb[n]3.");
        assert_eq!(word("F#").at_tone(Tone::new(Step::G, 3)).to_string(), "G#3");
        assert_eq!(word("-1#.").at_place(12).to_string(), "12#.");
    }
}
