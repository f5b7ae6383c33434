//! Words in quotes.

use crate::parser::Parser;
use crate::parser::vocabulary::is_music;
use crate::{Code, Diagnostic, ItemKind, Span, Token};

impl<'t> Parser<'t> {
    pub(super) fn quoted(&mut self, voice: usize, token: Token, closed: bool) {
        let words = self.unquoted(token, closed).to_owned();
        self.push(voice, token.span, ItemKind::Words(words));
    }

    /// What stands in quotes. Where they are not closed, that is reported.
    pub(in crate::parser) fn unquoted(&mut self, token: Token, closed: bool) -> &'t str {
        let quoted = self.word(token);
        // One quote at each end; others are part of what is said.
        let mut words = quoted.chars();
        words.next();
        if closed {
            words.next_back();
        }
        let words = words.as_str().trim_end();
        if !closed {
            let end = token.span.end as usize;
            let found =
                Diagnostic::new(Code::UnclosedWords, token.span, "these words are not closed");
            // Where music may follow on the line, only a person knows the last of them.
            let all_words = words.split_whitespace().all(|word| !holds_music(word));
            self.report(if all_words {
                found
                    .help("type \" after the last of them, on the same line")
                    .fix(Span::new(end, end), "\"")
            } else {
                found.help(
                    "type \" after the last of them; until then all that follows on the line is \
                     taken for words, not for music",
                )
            });
        }
        words
    }
}

/// Whether music may be in a word that stands among words without a closing quote.
fn holds_music(word: &str) -> bool {
    is_music(word) || word.contains(['(', ')', '{', '}', '[', ']', '<', '>', '|', '\\', '/'])
}
