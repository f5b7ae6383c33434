//! What a person most likely meant by a word that means nothing.

use rudiments::Value;

use super::{Parser, head, line, music};
use crate::{Code, Diagnostic, Span, Token, words};

/// At most so many letters may be wrong, missing, too many or transposed.
const FARTHEST: usize = 2;

/// The nearest of the known words, if it is near: more of it is right than wrong.
fn nearest<'w>(word: &str, known: impl Iterator<Item = &'w str>) -> Option<&'w str> {
    let lower = word.to_lowercase();
    let length = lower.chars().count();
    known
        .map(|candidate| (strsim::osa_distance(&lower, candidate), candidate))
        .filter(|(distance, candidate)| {
            *distance <= FARTHEST && *distance < candidate.len().min(length)
        })
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

/// The value whose name, letters or capital letters these are, with or without a stray dot.
fn value_meant(word: &str) -> Option<Value> {
    let lower = word.trim_end_matches('.').to_lowercase();
    Value::ALL.into_iter().find(|value| value.letters() == lower || value.name() == lower)
}

impl Parser<'_> {
    /// Reports a word that means nothing here; `known` are the words that would.
    pub(super) fn unknown_word<'w>(&mut self, token: Token, known: impl Iterator<Item = &'w str>) {
        let word = self.word(token);
        let shown: String = word.chars().take(24).collect();
        let message = format!("`{shown}` is no note, no value and no word known here");
        let diagnostic = Diagnostic::new(Code::UnknownWord, token.span, message);
        let meant = if word.len() <= 24 { nearest(word, known) } else { None };
        let diagnostic = if let Some(value) = value_meant(word) {
            self.value_said_otherwise(diagnostic, token, value)
        } else if let Some((value, note)) = glued_value(word) {
            let at = Span::new(token.span.start as usize + 2, token.span.start as usize + 2);
            diagnostic.help(format!("part them by a blank: {value} {note}")).fix(at, " ")
        } else {
            match meant {
                Some(meant) if meant == word => {
                    diagnostic.help(format!("`{meant}` begins a line of its own, in the head"))
                }
                Some(meant) if meant == word.to_lowercase() => diagnostic
                    .help(format!("type it in small letters: {meant}"))
                    .fix(token.span, meant),
                _ if word.starts_with(['h', 'H']) => diagnostic
                    .help("the steps are A to G: the step above A is B, and B flat is typed Bb"),
                _ if word.starts_with(':') => diagnostic.help("a repeat is typed ::"),
                _ if word.eq_ignore_ascii_case("rest") || word == "r" => {
                    diagnostic.help("a rest of the value in force is typed _")
                }
                Some(meant) => diagnostic.help(format!("`{meant}` is the nearest that is known")),
                None => diagnostic.help("docs/notation.md lists all that can be typed"),
            }
        };
        self.report(diagnostic);
    }

    fn value_said_otherwise(&self, found: Diagnostic, token: Token, value: Value) -> Diagnostic {
        let word = self.word(token);
        if word.ends_with('.') {
            found.help(format!("the dot stands after the note, not the value: {value} D."))
        } else {
            found
                .help(format!("the {} is typed {value}", value.name()))
                .fix(token.span, value.letters())
        }
    }

    /// The value that was most likely meant by a word that means nothing, so that what follows is
    /// counted as meant.
    pub(super) fn value_meant_by(&self, token: Token) -> Option<Value> {
        let word = self.word(token);
        let near = || nearest(word, Parser::music_words()).and_then(Value::from_letters);
        value_meant(word).or(glued_value(word).map(|(value, _)| value)).or_else(near)
    }

    /// The words that may stand in the music of a voice.
    pub(super) fn music_words() -> impl Iterator<Item = &'static str> {
        let values = Value::ALL.into_iter().map(Value::letters);
        values.chain(music::KEYWORDS).chain(head::ITEMS).chain(line::OPENINGS)
    }
}

/// A value and a note that were typed without a blank between them.
fn glued_value(word: &str) -> Option<(Value, &str)> {
    let (letters, note) = word.split_at_checked(2)?;
    let value = Value::from_letters(letters)?;
    matches!(words::event(note), Some((_, ""))).then_some((value, note))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn transposed_letters_are_near() {
        assert_eq!(nearest("sigantrue", Parser::music_words()), Some("signature"));
        assert_eq!(nearest("SB", Parser::music_words()), Some("sb"));
        assert_eq!(nearest("xylophone", Parser::music_words()), None);
        assert_eq!(nearest("r", Parser::music_words()), None);
    }

    #[test]
    fn a_value_may_be_called_by_its_name() {
        assert_eq!(value_meant("minim"), Some(Value::Minim));
        assert_eq!(value_meant("LG."), Some(Value::Longa));
        assert_eq!(glued_value("sbD4"), Some((Value::Semibreve, "D4")));
        assert_eq!(glued_value("sbx"), None);
    }
}
