//! Words as they are written: what the grammar reads, the other way round.

use std::fmt;

use rudiments::{Clef, Tone};

use super::{Body, EventWord, HeadWord, PlaceWord};
use crate::{Dot, Event, ItemKind, Note, Sound};

/// An event as it can be typed by itself, its value aside: every note with its octave, `F#4.`; or, for
/// a voice typed in positions, its place on the staff under the clef in force there.
pub fn word(event: &Event, positions: Option<Clef>) -> String {
    EventWord::of(event, |tone| PlaceWord::of(tone, positions)).to_string()
}

/// A note's head where its place is known.
pub(super) fn head(note: Note, place: PlaceWord) -> HeadWord {
    HeadWord { place, printed: note.printed, editorial: note.editorial }
}

impl ItemKind {
    /// As it can be typed; empty for notes, rests and directs, and for the line that goes on with a voice.
    pub fn typed(&self) -> String {
        match self {
            ItemKind::Clef(clef) => format!("clef {clef}"),
            ItemKind::Signature(signature) => format!("signature {signature}"),
            ItemKind::Sign(sign) => format!("sign {sign}"),
            ItemKind::Ratio(ratio) => format!("ratio {ratio}"),
            ItemKind::Perfection { value, perfect: true } => format!("perfect {value}"),
            ItemKind::Perfection { value, perfect: false } => format!("imperfect {value}"),
            ItemKind::LineEnd => "/".to_owned(),
            ItemKind::PageEnd => "//".to_owned(),
            ItemKind::BarLine | ItemKind::Divide => "|".to_owned(),
            ItemKind::SectionEnd => "||".to_owned(),
            ItemKind::Repeat => "::".to_owned(),
            ItemKind::Words(words) => format!("\"{words}\""),
            ItemKind::Oblique => "\\".to_owned(),
            ItemKind::Open(group) => group.opening().to_owned(),
            ItemKind::Close(group) => group.closing().to_owned(),
            ItemKind::Event(_) | ItemKind::Direct(_) | ItemKind::More => String::new(),
        }
    }
}

impl PlaceWord {
    /// A letter with its octave; or a place on the staff.
    pub(crate) fn of(tone: Tone, positions: Option<Clef>) -> PlaceWord {
        match positions {
            Some(clef) => PlaceWord::Position(clef.place_of(tone)),
            None => PlaceWord::Letter(tone.step, Some(tone.octave)),
        }
    }
}

impl EventWord {
    /// The word of an event by itself, its notes where `place` has them.
    pub(crate) fn of(event: &Event, place: impl Fn(Tone) -> PlaceWord) -> EventWord {
        let Event { sound, dot, signs, length, .. } = event;
        let body = match sound {
            Sound::Rest { spaces } => Body::Rest { times: 1, spaces: *spaces },
            Sound::Notes(notes) => {
                Body::Heads(notes.iter().map(|note| head(*note, place(note.tone))).collect())
            }
        };
        EventWord { completing: false, body, dot: *dot, signs: *signs, length: *length }
    }

    /// So many rests with what is typed after them.
    pub(crate) fn rests(self, times: u32) -> EventWord {
        EventWord { body: Body::Rest { times, spaces: None }, ..self }
    }

    /// Whether it is a rest and nothing beside.
    pub(crate) fn is_plain_rest(&self) -> bool {
        let EventWord { body, dot, signs, length, .. } = self;
        let alone = dot.is_none() && signs.is_empty() && length.is_none();
        alone && matches!(body, Body::Rest { spaces: None, .. })
    }
}

impl fmt::Display for EventWord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.completing {
            f.write_str(".")?;
        }
        match &self.body {
            Body::Rest { spaces: Some(spaces), .. } => write!(f, "_{spaces}")?,
            Body::Rest { times: 1, .. } => f.write_str("_")?,
            Body::Rest { times, .. } => write!(f, "_*{times}")?,
            Body::Heads(heads) => {
                for (place, head) in heads.iter().enumerate() {
                    write!(f, "{}{head}", if place > 0 { "+" } else { "" })?;
                }
            }
        }
        f.write_str(match self.dot {
            Some(Dot::Plain) => ".",
            Some(Dot::Adds) => ".+",
            Some(Dot::Divides) => ".:",
            None => "",
        })?;
        write!(f, "{}", self.signs)?;
        match self.length {
            Some(length) => write!(f, "={length}"),
            None => Ok(()),
        }
    }
}

/// Its signs stand between its step and its octave, the editor's in brackets.
impl fmt::Display for HeadWord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.place {
            PlaceWord::Letter(step, _) => write!(f, "{step}")?,
            PlaceWord::Position(place) => write!(f, "{place}")?,
        }
        if let Some(printed) = self.printed {
            write!(f, "{}", printed.letter())?;
        }
        if let Some(editorial) = self.editorial {
            write!(f, "[{}]", editorial.letter())?;
        }
        match self.place {
            PlaceWord::Letter(_, Some(octave)) => write!(f, "{octave}"),
            _ => Ok(()),
        }
    }
}

/// Without signs, as in a direct.
impl fmt::Display for PlaceWord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        HeadWord { place: *self, printed: None, editorial: None }.fmt(f)
    }
}

#[cfg(test)]
mod tests {
    use crate::words::event;

    /// What is read is written so, and read again as the same.
    #[test]
    fn writing_is_reading_the_other_way_round() {
        for word in [
            "F#[n]4.^%?=5/2",
            "D4+A4.",
            ".6#",
            "_",
            "_3",
            "_*4.",
            "-1",
            "Bb",
            "b",
            "d.:?^",
            "D=4/2",
        ] {
            let (read, _) = event(word).unwrap();
            assert_eq!(event(&read.to_string()), Some((read, "")), "{word}");
        }
        assert_eq!(event("f?^").unwrap().0.to_string(), "F^?");
    }
}
