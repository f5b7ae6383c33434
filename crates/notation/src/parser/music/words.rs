//! Words that are no keywords: notes, rests, directs, and what is none of them.

use rudiments::Sign;

use crate::note_sign::note_signs_called;
use crate::parser::Parser;
use crate::parser::suggest::{Meant, is_meant_as_music, meant};
use crate::parser::vocabulary::{is_event, music_words};
use crate::{Code, Diagnostic, ItemKind, Span, Token, words};

impl Parser<'_> {
    pub(super) fn event(&mut self, voice: usize, token: Token, word: &str) {
        let positions = self.piece.voices[voice].positions;
        let is_sign = || !positions && Sign::parse(word).is_some();
        match words::event(word) {
            Some((event, "")) => self.events(voice, token, &event),
            // A letter that begins a word is no note.
            Some((_, rest)) if is_wordlike(rest) || is_sign() || is_meant_as_music(word) => {
                self.unknown(voice, token);
            }
            Some((event, rest)) => {
                let at = token.span.end as usize - rest.len();
                let span = Span::new(at, token.span.end as usize);
                self.malformed(span, word, rest);
                // What could be read stands, so that all that follows is counted as meant.
                self.events(voice, token, &event);
                if is_another_word(rest) {
                    self.music(voice, Token { span, ..token });
                }
            }
            None => self.unknown(voice, token),
        }
    }

    /// A word that means nothing. What it most likely means is taken for what follows, so that one
    /// slip is one error, and to mend it makes no other.
    fn unknown(&mut self, voice: usize, token: Token) {
        self.unknown_word(token, music_words());
        match meant(self.word(token)) {
            Some(Meant::Keyword(word)) => self.keyword(voice, token, word),
            Some(Meant::Value { value, dotted }) => self.set_value(voice, Some(value), dotted),
            Some(Meant::ValueAndNote { value, at }) => {
                self.set_value(voice, Some(value), false);
                let span = Span::new(token.span.start as usize + at, token.span.end as usize);
                self.music(voice, Token { span, ..token });
            }
            Some(Meant::Event(event)) => {
                if let Some((event, "")) = words::event(&event) {
                    self.events(voice, token, &event);
                }
            }
            None => {}
        }
    }

    /// Reports what is left over, at `span`, of a word that begins like a note.
    fn malformed(&mut self, span: Span, word: &str, rest: &str) {
        let known = &word[..word.len() - rest.len()];
        let first = rest.chars().next().unwrap_or(' ');
        let message = format!("`{}` does not belong to this note", short(rest));
        let diagnostic = Diagnostic::new(Code::MalformedNote, span, message);
        let start = span.start as usize;
        self.report(match first {
            _ if is_another_word(rest) => {
                let found = diagnostic.help(format!(
                    "put a blank between them: {} {}",
                    short(known),
                    short(rest)
                ));
                if is_surely_parted(known, rest) {
                    found.fix(Span::new(start, start), " ")
                } else {
                    found
                }
            }
            '/' => diagnostic.help("put blanks around /, the end of a source line: D4 / E"),
            ':' => diagnostic.help("type a repeat as ::, with a blank before it: D4 ::"),
            '~' => diagnostic.help("a direct has the step of the next note, as ~E, after a blank"),
            '\'' | ',' | '’' => diagnostic.help(
                "the octave is a digit: C4 is middle C, B3 the step below it, C5 \
                                 an octave above",
            ),
            '-' if is_another_word(&rest[1..]) => diagnostic.help(format!(
                "put a blank between two notes: {known} {0}; notes struck together are {known}+{0}",
                &rest[1..]
            )),
            '#' | 'b' | 'n' | '[' if known.ends_with(['#', 'b', 'n', ']']) && known.len() > 1 => {
                diagnostic.help("a note has one printed sign, F#, and one of the editor's, F[#]")
            }
            '#' | 'b' | 'n' | '[' => {
                diagnostic.help("type the sign right after the step: D#4, D[#]4, D#.")
            }
            '♯' | '♭' | '♮' => {
                diagnostic.help("type signs as # b n, right after the step: F#, Bb, Bn")
            }
            '0'..='9' if known.starts_with('_') => {
                diagnostic.help(format!("type several rests as _*{rest}"))
            }
            '.' if known.contains('=') => {
                diagnostic.help("a length is a fraction of minims: =3/2, =5/2")
            }
            '.' if known.contains('.') => diagnostic.help("a note or rest has one dot: D."),
            '0'..='9' | '-' => diagnostic.help("an octave is one digit, 0 to 9: middle C is C4"),
            '=' => diagnostic
                .help("the editor's length is in minims: =5/2 or =3, with numbers from 1 to 9999"),
            '*' => diagnostic.help("type several rests as _*4, with a number from 1 to 9999"),
            _ if is_another_word(rest.get(..1).unwrap_or_default()) => {
                diagnostic.help("put blanks between the notes")
            }
            _ => diagnostic.help(concat!(
                "a note has its step, sign, editor's sign, octave, dot",
                note_signs_called!()
            )),
        });
    }

    pub(super) fn direct(&mut self, voice: usize, token: Token, word: &str) {
        let Some(place) = words::direct(word) else {
            let direct = word.trim_end_matches('/');
            let end = &word[direct.len()..];
            if words::direct(direct).is_some() && matches!(end, "/" | "//") {
                let at = token.span.start as usize + direct.len();
                let span = Span::new(at, token.span.end as usize);
                let message = format!("`{end}` does not belong to this direct");
                self.report(
                    Diagnostic::new(Code::MalformedNote, span, message)
                        .help(format!("put a blank between them: {direct} {end}"))
                        .fix(Span::new(at, at), " "),
                );
                self.direct(voice, token, direct);
                return self.music(voice, Token { span, ..token });
            }
            self.report(
                Diagnostic::new(Code::MalformedNote, token.span, "not a valid direct")
                    .help("a direct has the step and octave of the next note alone: ~E or ~E4"),
            );
            return;
        };
        if let Some(tone) = self.tone(voice, token.span, place) {
            self.push(voice, token.span, ItemKind::Direct(tone));
        }
    }
}

/// Whether what is left over of a word that begins with a step shows that it is no note at all.
fn is_wordlike(rest: &str) -> bool {
    rest.chars().take_while(|c| c.is_alphabetic()).count() >= 2
}

/// Whether two words of music without a blank between them can be nothing else: `D4E`, `DE`, `D/`;
/// but `Da` and `ad` may be words.
fn is_surely_parted(known: &str, rest: &str) -> bool {
    known.len() > 1 || !rest.starts_with(|c: char| c.is_ascii_lowercase())
}

/// Whether what is left over of a word is a word of its own, to which a blank is missing.
fn is_another_word(rest: &str) -> bool {
    // A `b` is rather a sign, and a figure no note.
    let may_be_event = !rest.starts_with(|c: char| "bn#[-".contains(c) || c.is_ascii_digit());
    matches!(rest, "/" | "//" | "::")
        || words::direct(rest).is_some()
        || (may_be_event && is_event(rest))
}

/// At most a few characters of what was typed.
fn short(text: &str) -> String {
    text.chars().take(24).collect()
}
