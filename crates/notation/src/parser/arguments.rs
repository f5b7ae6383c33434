//! The arguments of keywords; those of `clef` and `signature` also where a blank stands within them.

use rudiments::{Clef, Sign, Signature};

use super::Parser;
use super::suggest::sign;
use super::vocabulary::{attribute, is_taken, opens_voice};
use crate::lexer::TokenKind;
use crate::{Code, Diagnostic, Span, Token};

/// Where an argument stands.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
    /// In the head, or on the line that opens a voice: what follows is no note.
    Line,
    /// In the music of a voice typed in letters: `Eb` may be a note, a figure is none.
    Letters,
    /// In the music of a voice typed in positions: a figure may be a note.
    Positions,
}

/// Words that say one signature together.
struct Signs {
    signature: Signature,
    /// How many words they are.
    words: usize,
    span: Span,
    /// The place of the token after them.
    next: usize,
}

/// Tokens with no blank between them: the byte where they end, and the place of the next token.
pub(super) struct Joined {
    pub(super) end: usize,
    pub(super) next: usize,
}

impl Parser<'_> {
    /// The argument of a keyword: the next word, on this line or the next. What cannot be read is
    /// reported, and passed over where it stands on the same line and looks like an argument.
    pub(super) fn argument<T>(
        &mut self,
        keyword: Token,
        read: impl Fn(&str) -> Option<T>,
        unread: impl Fn(&mut Self, Span),
    ) -> Option<T> {
        let next = self.peek().filter(|next| next.kind == TokenKind::Word);
        let Some(next) = next else {
            unread(self, keyword.span);
            return None;
        };
        let mut word = self.word(next);
        if let Some(value) = read(word) {
            self.next += 1;
            return Some(value);
        }
        if next.first_on_line || is_taken(word) {
            unread(self, keyword.span);
            self.not_argument = Some(next.span);
            return None;
        }
        self.next += 1;
        // A list that was typed with blanks is one argument.
        while word.ends_with(',')
            && let Some(more) = self.on_line(self.next).filter(|more| !is_taken(self.word(*more)))
        {
            self.next += 1;
            word = self.word(more);
        }
        unread(self, next.span);
        None
    }

    /// The argument of `clef`. A letter and a figure with a blank between them are read as one.
    pub(super) fn clef(&mut self, keyword: Token, place: Place) -> Option<Clef> {
        if place != Place::Positions
            && let Some((clef, span)) = self.parted_clef()
        {
            self.next += 2;
            self.report(
                Diagnostic::new(Code::NoSuchClef, span, "a clef is one word")
                    .help(format!("type it without a blank: clef {clef}"))
                    .fix(span, clef.to_string()),
            );
            return Some(clef);
        }
        self.argument(keyword, Clef::parse, Self::no_such_clef)
    }

    /// `C 4`, on one line.
    fn parted_clef(&mut self) -> Option<(Clef, Span)> {
        let letter = self.peek()?;
        let figure = self.on_line(self.next + 1)?;
        let word = format!("{}{}", self.word(letter), self.word(figure));
        let clef = Clef::parse(&word).filter(|_| word.len() == 2)?;
        Some((clef, letter.span.to(figure.span)))
    }

    /// The argument of `signature`. Signs with blanks between them are read as one signature where
    /// commas, or the place, leave no doubt.
    pub(super) fn signature(&mut self, keyword: Token, place: Place) -> Option<Signature> {
        match self.signs(place).filter(|signs| signs.words > 1) {
            Some(signs) => {
                let said = signs.signature.to_string();
                self.one_signature(&signs, format!("type signature {said}"), said);
                Some(signs.signature)
            }
            None => self.argument(keyword, Signature::parse, Self::no_such_signature),
        }
    }

    /// The argument of `sign`.
    pub(super) fn sign(&mut self, keyword: Token) -> Option<Sign> {
        let found = self.argument(keyword, sign, Self::no_such_sign)?;
        self.sign_otherwise(self.tokens[self.next - 1], found);
        Some(found)
    }

    /// Reports a token that only looks like the sign that is meant.
    pub(super) fn sign_otherwise(&mut self, token: Token, sign: Sign) {
        if Sign::parse(self.word(token)).is_none() {
            self.report(
                Diagnostic::new(Code::NoSuchSign, token.span, "this sign is typed in letters")
                    .help(format!("type {sign}"))
                    .fix(token.span, sign.to_string()),
            );
        }
    }

    /// A signature without the word that says so, on the line that opens a voice.
    pub(super) fn bare_signature(&mut self) -> Option<Signature> {
        let signs = self.signs(Place::Line)?;
        let said = format!("signature {}", signs.signature);
        self.one_signature(&signs, format!("type {said}"), said);
        Some(signs.signature)
    }

    fn one_signature(&mut self, signs: &Signs, help: String, typed: String) {
        self.next = signs.next;
        let message = match signs.words {
            1 => "the word `signature` is missing before this signature",
            _ => "put commas between the signs of a signature, and no blanks",
        };
        self.report(
            Diagnostic::new(Code::NoSuchSignature, signs.span, message)
                .help(help)
                .fix(signs.span, typed),
        );
    }

    /// The signs from the next token on, up to the end of the line.
    fn signs(&mut self, place: Place) -> Option<Signs> {
        let first = self.peek().filter(|first| first.kind == TokenKind::Word)?;
        let mut signs: Vec<&str> = Vec::new();
        let mut found = None;
        let mut next = self.next;
        let mut comma = true;
        while let Some(token) = if found.is_none() { Some(first) } else { self.on_line(next) } {
            let word = self.word(token);
            let sign = word.trim_matches(',');
            let is_sign = Signature::parse(sign).is_some_and(|said| said != Signature::NONE);
            let joined = comma || word.starts_with(',') || place == Place::Line;
            if !(is_sign && joined) {
                break;
            }
            signs.push(sign);
            (comma, next) = (word.ends_with(','), next + 1);
            found = Some(token);
        }
        let signature = Signature::parse(&signs.join(","))?;
        let span = first.span.to(found?.span);
        // On a line with music, what follows may be notes.
        let ends = place != Place::Line || self.ends_here(next);
        ends.then_some(Signs { signature, words: signs.len(), span, next })
    }

    /// Whether nothing but more of what may stand on the line of a voice follows.
    fn ends_here(&self, next: usize) -> bool {
        self.on_line(next).is_none_or(|token| {
            let joined = self.joined(next);
            let word = &self.text[token.span.start as usize..joined.end];
            attribute(word).is_some() || opens_voice(word) || sign(word).is_some()
        })
    }

    /// From a token to the next blank, as the argument of `sign` is read: `C|` are two tokens.
    pub(super) fn joined(&self, first: usize) -> Joined {
        let mut joined = Joined { end: 0, next: first };
        while let Some(token) = self.tokens.get(joined.next) {
            let is_joined = joined.next == first || token.span.start as usize == joined.end;
            if !is_joined || !matches!(token.kind, TokenKind::Word | TokenKind::Mark) {
                break;
            }
            joined = Joined { end: token.span.end as usize, next: joined.next + 1 };
        }
        joined.end = joined.end.max(self.tokens.get(first).map_or(0, |t| t.span.start as usize));
        joined
    }

    /// The token at a place of the list, if it stands on the line of the one before it and is no
    /// comment.
    pub(super) fn on_line(&self, place: usize) -> Option<Token> {
        let token = self.tokens.get(place)?;
        (!token.first_on_line && token.kind != TokenKind::Comment).then_some(*token)
    }

    pub(super) fn no_such_clef(&mut self, span: Span) {
        self.report(
            Diagnostic::new(Code::NoSuchClef, span, "not a valid clef")
                .help("type its letter and its line from the bottom: C1 C2 C3 C4 F3 F4 G2 …"),
        );
    }

    pub(super) fn no_such_sign(&mut self, span: Span) {
        let message = "not a valid mensuration or proportion sign";
        self.report(
            Diagnostic::new(Code::NoSuchSign, span, message)
                .help("type one of C C| O O| rC C. O. C3 C|3 O3 3 3/2 2 …"),
        );
    }

    pub(super) fn no_such_signature(&mut self, span: Span) {
        self.report(
            Diagnostic::new(Code::NoSuchSignature, span, "not a valid signature")
                .help("type the signs with commas between them: Bb or Bb,Eb or F#; or none"),
        );
    }
}
