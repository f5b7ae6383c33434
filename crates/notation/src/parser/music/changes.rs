//! Changes of clef, signature and sign, and the editor's readings of time.

use rudiments::Value;

use crate::parser::Parser;
use crate::parser::arguments::Place;
use crate::parser::suggest::value_meant;
use crate::{Code, Diagnostic, ItemKind, Span, Token, words};

impl Parser<'_> {
    pub(super) fn keyword(&mut self, voice: usize, token: Token, word: &str) {
        match word {
            "ratio" | "perfect" | "imperfect" => self.reading(voice, token, word),
            _ => self.change(voice, token, word),
        }
    }

    fn change(&mut self, voice: usize, token: Token, word: &str) {
        let positions = self.piece.voices[voice].positions;
        let place = if positions { Place::Positions } else { Place::Letters };
        let kind = match word {
            "clef" => self.clef(token, place).map(ItemKind::Clef),
            "signature" => self.signature(token, place).map(ItemKind::Signature),
            _ => self.sign(token).map(ItemKind::Sign),
        };
        if let Some(kind) = kind {
            if let ItemKind::Clef(clef) = kind {
                self.states[voice].now.clef = Some(clef);
            }
            self.push(voice, self.span_to_here(token), kind);
        }
    }

    fn reading(&mut self, voice: usize, token: Token, word: &str) {
        let kind = if word == "ratio" {
            let unread = |parser: &mut Self, span| {
                parser.no_such_reading(span, "type three in the time of two as `ratio 3:2`");
            };
            self.argument(token, words::ratio, unread).map(ItemKind::Ratio)
        } else {
            let unread = |parser: &mut Self, span| {
                let help = "name the value: `perfect br`, `imperfect sb`, …";
                parser.no_such_reading(span, help);
            };
            // A value that is typed otherwise is one all the same.
            let divisible =
                |word: &str| value_meant(word).filter(|value| *value <= Value::Semibreve);
            let perfect = word == "perfect";
            let value = self.argument(token, divisible, unread);
            if let Some(value) = value {
                self.value_otherwise(value);
            }
            value.map(|value| ItemKind::Perfection { value, perfect })
        };
        if let Some(kind) = kind {
            self.push(voice, self.span_to_here(token), kind);
        }
    }

    /// Reports the token that was just taken if it is another spelling of that value.
    fn value_otherwise(&mut self, value: Value) {
        let token = self.tokens[self.next - 1];
        let word = self.word(token);
        if word != value.letters() {
            let found =
                Diagnostic::new(Code::UnknownWord, token.span, format!("unknown word `{word}`"));
            let help = format!("type the {} as {value}", value.name());
            self.report(found.help(help).fix(token.span, value.letters()));
        }
    }

    fn no_such_reading(&mut self, span: Span, help: &str) {
        self.report(
            Diagnostic::new(Code::NoSuchReading, span, "this reading of time is incomplete")
                .help(help),
        );
    }

    /// From a keyword to the last token taken.
    fn span_to_here(&self, token: Token) -> Span {
        token.span.to(self.tokens[self.next - 1].span)
    }
}
