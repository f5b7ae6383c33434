//! The text as a lossless list of tokens: what lies between two of them is blank.

use crate::Span;

/// A token and where it stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Token {
    /// What kind it is.
    pub kind: TokenKind,
    /// Where it stands.
    pub span: Span,
    /// Whether it is the first on its line.
    pub first_on_line: bool,
}

/// The kinds of tokens.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum TokenKind {
    /// A run of characters without blanks: a note, a value, a keyword, `/`, …
    Word,
    /// One of `( ) { } [ ] < <? > | || \`.
    Mark,
    /// Words in quotes, straight or curved, the quotes included; nothing closes them where the line ends first.
    Quoted {
        /// Whether the closing quote is there.
        closed: bool,
    },
    /// From `;` to the end of the line.
    Comment,
    /// What follows `title`, `composer`, `source`, `editor`, `note` or `topic` on its line.
    FreeText,
}

/// The head items whose text runs free to the end of the line.
pub(crate) const FREE_TEXT: [&str; 6] = ["title", "composer", "source", "editor", "note", "topic"];

/// The tokens of a text, in one pass.
pub fn tokens(text: &str) -> Vec<Token> {
    let mut lexer = Lexer { text, place: 0, tokens: Vec::with_capacity(text.len() / 3) };
    for line in text.split_inclusive('\n') {
        lexer.line(line);
    }
    lexer.tokens
}

struct Lexer<'t> {
    text: &'t str,
    place: usize,
    tokens: Vec<Token>,
}

impl Lexer<'_> {
    fn line(&mut self, line: &str) {
        let end = self.place + line.len();
        let content_end = self.place + line.trim_end().len();
        let mut first = true;
        let mut after_sign = false;
        while let Some(start) = self.next_start(content_end) {
            let rest = &self.text[start..content_end];
            let (kind, length) = if after_sign { raw_word(rest) } else { token(rest) };
            let span = Span::new(start, start + length);
            let word = span.of(self.text);
            self.tokens.push(Token { kind, span, first_on_line: first });
            self.place = start + length;
            // A colon after a keyword is a slip that changes nothing of what follows.
            let plain = word.strip_suffix(':').unwrap_or(word);
            let is = |keyword: &str| plain.eq_ignore_ascii_case(keyword);
            if first && FREE_TEXT.into_iter().any(is) {
                if let Some(start) = self.next_start(content_end) {
                    let span = Span::new(start, content_end);
                    let kind = TokenKind::FreeText;
                    self.tokens.push(Token { kind, span, first_on_line: false });
                }
                break;
            }
            // `C|` is one sign, though `|` is a mark elsewhere.
            after_sign = is("sign");
            first = false;
        }
        self.place = end;
    }

    /// The next place that is not blank, up to the end of the line.
    fn next_start(&self, end: usize) -> Option<usize> {
        let rest = &self.text[self.place..end.max(self.place)];
        rest.find(|c: char| !is_blank(c)).map(|blanks| self.place + blanks)
    }
}

/// A byte order mark counts as a blank, so that it does no harm wherever an editor leaves it.
fn is_blank(c: char) -> bool {
    c.is_whitespace() || c == '\u{feff}'
}

/// The kind and length of the token at the beginning of `rest`, which is not blank.
fn token(rest: &str) -> (TokenKind, usize) {
    if let Some(quoted) = rest.strip_prefix(['“', '„']) {
        let open = rest.len() - quoted.len();
        return match quoted.find(['”', '“', '"']) {
            Some(length) => {
                let close = quoted[length..].chars().next().map_or(1, char::len_utf8);
                (TokenKind::Quoted { closed: true }, open + length + close)
            }
            None => (TokenKind::Quoted { closed: false }, rest.len()),
        };
    }
    match rest.as_bytes()[0] {
        b';' => (TokenKind::Comment, rest.len()),
        b'"' => match rest[1..].find('"') {
            Some(length) => (TokenKind::Quoted { closed: true }, length + 2),
            None => (TokenKind::Quoted { closed: false }, rest.len()),
        },
        b'|' if rest.starts_with("||") => (TokenKind::Mark, 2),
        b'<' if rest.starts_with("<?") => (TokenKind::Mark, 2),
        b'(' | b')' | b'{' | b'}' | b'[' | b']' | b'<' | b'>' | b'|' | b'\\' => {
            (TokenKind::Mark, 1)
        }
        _ => (TokenKind::Word, word_length(rest)),
    }
}

/// A word that only a blank or a comment ends.
fn raw_word(rest: &str) -> (TokenKind, usize) {
    if rest.starts_with([';', '"']) {
        return token(rest);
    }
    (TokenKind::Word, rest.find(|c: char| is_blank(c) || c == ';').unwrap_or(rest.len()))
}

/// A word ends at a blank and at a mark; but an editorial accidental, `F[#]`, is part of it.
fn word_length(rest: &str) -> usize {
    let mut place = 0;
    while let Some(c) = rest[place..].chars().next() {
        match c {
            '[' => match editorial_length(&rest[place..]) {
                Some(length) if place > 0 => place += length,
                _ => break,
            },
            '(' | ')' | '{' | '}' | ']' | '<' | '>' | '|' | '\\' | ';' | '"' => break,
            _ if is_blank(c) => break,
            _ => place += c.len_utf8(),
        }
    }
    place
}

/// The length of `[#]`, `[b]`, `[n]` or of a like bracket around one character.
fn editorial_length(rest: &str) -> Option<usize> {
    let mut characters = rest.char_indices().skip(1);
    let (_, inner) = characters.next()?;
    let (place, close) = characters.next()?;
    (!is_blank(inner) && close == ']').then_some(place + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Vec<&str> {
        tokens(text).into_iter().map(|token| token.span.of(text)).collect()
    }

    #[test]
    fn blanks_part_tokens() {
        assert_eq!(words("mn  D4\tE\r\n\u{a0}F"), ["mn", "D4", "E", "F"]);
    }

    #[test]
    fn marks_are_tokens_of_their_own() {
        assert_eq!(words("(sb D E){A}"), ["(", "sb", "D", "E", ")", "{", "A", "}"]);
        assert_eq!(words("<? sm G|mn G>"), ["<?", "sm", "G", "|", "mn", "G", ">"]);
        assert_eq!(words("D || | E"), ["D", "||", "|", "E"]);
    }

    #[test]
    fn an_editorial_accidental_is_part_of_its_note() {
        assert_eq!(words("F[#]4. [mn D]"), ["F[#]4.", "[", "mn", "D", "]"]);
        assert_eq!(words("F[ #]"), ["F", "[", "#", "]"]);
    }

    #[test]
    fn a_sign_keeps_its_stroke() {
        assert_eq!(words("sign C|3 D"), ["sign", "C|3", "D"]);
        assert_eq!(words("sign C|; cut"), ["sign", "C|", "; cut"]);
    }

    #[test]
    fn free_text_keeps_its_semicolon() {
        assert_eq!(words("title A; B \nD ; c"), ["title", "A; B", "D", "; c"]);
    }

    #[test]
    fn curved_quotes_are_quotes() {
        assert_eq!(words("“Prima pars” D"), ["“Prima pars”", "D"]);
    }

    #[test]
    fn quotes_hold_blanks_and_end_with_the_line() {
        assert_eq!(words("\"Prima; pars\" D"), ["\"Prima; pars\"", "D"]);
        assert_eq!(words("\"Prima\nD"), ["\"Prima", "D"]);
    }

    #[test]
    fn the_first_on_a_line_is_known() {
        let firsts: Vec<bool> =
            tokens("D E\n\n F").into_iter().map(|token| token.first_on_line).collect();
        assert_eq!(firsts, [true, false, true]);
    }
}
