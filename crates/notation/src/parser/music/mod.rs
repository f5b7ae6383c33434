//! The tokens of a voice.

mod changes;
mod events;
mod groups;
mod ligatures;
mod notes;
mod quoted;
mod words;

use rudiments::Value;

use super::Parser;
use super::vocabulary::{KEYWORDS, is_value};
use crate::lexer::TokenKind;
use crate::{Group, Item, ItemKind, Span, Token};

impl Parser<'_> {
    /// A token in the music of a voice.
    pub(super) fn music(&mut self, voice: usize, token: Token) {
        let word = self.word(token);
        match token.kind {
            TokenKind::Mark => self.mark(voice, token, word),
            TokenKind::Quoted { closed } => self.quoted(voice, token, closed),
            TokenKind::Word if is_value(word) => {
                self.set_value(voice, Value::from_letters(word), false);
            }
            TokenKind::Word => match word {
                "/" => self.push(voice, token.span, ItemKind::LineEnd),
                "//" => self.push(voice, token.span, ItemKind::PageEnd),
                "::" => self.section_end(voice, token.span, ItemKind::Repeat),
                _ if KEYWORDS.contains(&word) => self.keyword(voice, token, word),
                _ if word.starts_with('~') => self.direct(voice, token, word),
                _ => self.event(voice, token, word),
            },
            // Comments are never taken, and free text follows head items only.
            TokenKind::Comment | TokenKind::FreeText => {}
        }
    }

    /// Puts a value in force; `dotted` where a dot was typed after it that belongs to its note.
    fn set_value(&mut self, voice: usize, value: Option<Value>, dotted: bool) {
        let state = &mut self.states[voice];
        state.now.value = value;
        state.dot_meant = dotted;
    }

    fn push(&mut self, voice: usize, span: Span, kind: ItemKind) {
        let standing = self.states[voice].standing();
        self.piece.voices[voice].items.push(Item { span, standing, kind });
    }

    fn mark(&mut self, voice: usize, token: Token, mark: &str) {
        match mark {
            "||" => self.section_end(voice, token.span, ItemKind::SectionEnd),
            "|" => self.stroke(voice, token),
            "\\" => self.oblique(voice, token),
            "(" => self.open(voice, token, Group::Ligature),
            "{" => self.open(voice, token, Group::Coloration),
            "[" => self.open(voice, token, Group::Supplied),
            "<" => self.open(voice, token, Group::Emendation),
            "<?" => self.open(voice, token, Group::Variant),
            ")" => self.close(voice, token, &[Group::Ligature]),
            "}" => self.close(voice, token, &[Group::Coloration]),
            "]" => self.close(voice, token, &[Group::Supplied]),
            _ => self.close(voice, token, &[Group::Emendation, Group::Variant]),
        }
    }

    fn section_end(&mut self, voice: usize, span: Span, kind: ItemKind) {
        if self.admits_section_end(voice, span) {
            self.push(voice, span, kind);
        }
    }
}
