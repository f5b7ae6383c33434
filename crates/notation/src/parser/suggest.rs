//! What a person most likely meant by a word that means nothing.

use rudiments::Value;

use super::{Parser, head, line, music};
use crate::{Code, Diagnostic, Token};

/// At most so many letters may be wrong, missing, too many or transposed.
const FARTHEST: usize = 2;

/// The nearest of the known words, if it is near.
fn nearest<'w>(word: &str, known: impl Iterator<Item = &'w str>) -> Option<&'w str> {
    let lower = word.to_lowercase();
    known
        .map(|candidate| (strsim::osa_distance(&lower, candidate), candidate))
        .filter(|(distance, candidate)| *distance <= FARTHEST && *distance < candidate.len())
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

impl Parser<'_> {
    /// Reports a word that means nothing here; `known` are the words that would.
    pub(super) fn unknown_word<'w>(&mut self, token: Token, known: impl Iterator<Item = &'w str>) {
        let word = self.word(token);
        let shown: String = word.chars().take(24).collect();
        let message = format!("`{shown}` is no note, no value and no word known here");
        let diagnostic = Diagnostic::new(Code::UnknownWord, token.span, message);
        let meant = if word.len() <= 24 { nearest(word, known) } else { None };
        let diagnostic = match meant {
            Some(meant) if meant == word.to_lowercase() => {
                diagnostic.help(format!("type it in small letters: {meant}")).fix(token.span, meant)
            }
            Some(meant) if word.strip_suffix('.') == Some(meant) => {
                diagnostic.help(format!("the dot stands after the note, not the value: {meant} D."))
            }
            Some(meant) => diagnostic.help(format!("`{meant}` is the nearest that is known")),
            None if matches!(word.as_bytes()[0], b'h' | b'H') => diagnostic
                .help("the steps are A to G: the step above A is B, and B flat is typed Bb"),
            None => diagnostic.help("docs/notation.md lists all that can be typed"),
        };
        self.report(diagnostic);
    }

    /// The words that may stand in the music of a voice.
    pub(super) fn music_words() -> impl Iterator<Item = &'static str> {
        let values = Value::ALL.into_iter().map(Value::letters);
        values.chain(music::KEYWORDS).chain(head::ITEMS).chain(line::OPENINGS)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn transposed_letters_are_near() {
        assert_eq!(nearest("sigantrue", Parser::music_words()), Some("signature"));
        assert_eq!(nearest("SB", Parser::music_words()), Some("sb"));
        assert_eq!(nearest("xylophone", Parser::music_words()), None);
    }
}
