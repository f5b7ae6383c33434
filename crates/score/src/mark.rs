//! What the editor or an analysis wants to be drawn at notes and rests, whatever the output.
//!
//! A mark names events of the score, never places of a text or of a page: how it looks is decided
//! where it is drawn, how it is written where it is written.

use std::borrow::Cow;
use std::ops::RangeInclusive;

use notation::{MarkColor, MarkShape};

/// Events of a voice, from a first to a last.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Run {
    /// The voice, as a place in [`crate::Score::voices`].
    pub voice: usize,
    /// The first, as a place among the events of the voice.
    pub first: usize,
    /// The last.
    pub last: usize,
}

impl Run {
    /// A single event of a voice.
    pub fn one(voice: usize, event: usize) -> Run {
        Run { voice, first: event, last: event }
    }

    /// Its events, as places among those of the voice.
    pub fn events(self) -> RangeInclusive<usize> {
        self.first..=self.last
    }
}

/// A mark at events.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Mark {
    /// Where it is.
    pub run: Run,
    /// How it is drawn.
    pub shape: MarkShape,
    /// Its colour; nothing for black.
    pub color: Option<MarkColor>,
    /// What it says; may be empty.
    pub words: String,
}

impl Mark {
    /// Points at two notes that clash, like those of an untreated dissonance: a circle round each, in a
    /// thick line, and at the first what is to be said of them.
    pub fn clash(one: Run, other: Run, words: impl Into<String>) -> [Mark; 2] {
        let circle =
            |run, words| Mark { run, shape: MarkShape::Circle, color: Some(MarkColor::Red), words };
        [circle(one, words.into()), circle(other, String::new())]
    }

    /// A letter or a word at a note, like that of the role which a voice has in a cadence.
    pub fn letter(at: Run, words: impl Into<String>) -> Mark {
        Mark { run: at, shape: MarkShape::Label, color: None, words: words.into() }
    }

    /// A bracket over events, with its name, like that of an entry.
    pub fn bracket(run: Run, words: impl Into<String>) -> Mark {
        Mark { run, shape: MarkShape::Bracket, color: None, words: words.into() }
    }

    /// What is written at its first event: its words, with a question mark where it is a doubt.
    pub fn text(&self) -> Cow<'_, str> {
        match self.shape {
            MarkShape::Doubt if self.words.is_empty() => "?".into(),
            MarkShape::Doubt => format!("{} ?", self.words).into(),
            _ => self.words.as_str().into(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_doubt_asks() {
        let doubt = |words: &str| Mark {
            run: Run::one(0, 0),
            shape: MarkShape::Doubt,
            color: None,
            words: words.to_owned(),
        };
        assert_eq!((doubt("").text(), doubt("sm G").text()), ("?".into(), "sm G ?".into()));
    }
}
