//! From tokens to a piece. One pass, no recursion; what cannot be read is reported and passed
//! over, and reading goes on with the next token.

mod arguments;
mod doubts;
mod examples;
mod facsimile;
mod hands;
mod head;
mod line;
mod marks;
mod music;
mod room;
pub(crate) mod state;
mod suggest;
mod vocabulary;

use std::collections::HashMap;

use rudiments::Time;

use crate::clef_meant::clef_meant;
use crate::lexer::{Token, TokenKind};
use crate::limits::MOST_EVENTS;
use crate::octaves::octaves_asked_for;
use crate::{Code, Diagnostic, DoubtfulClef, EditorsHand, EditorsMark, Facsimile, Piece, Span};
pub use examples::{Examples, examples};
use marks::Named;
use room::Room;
use state::VoiceState;
pub(crate) use vocabulary::OPENING;
pub use vocabulary::may_name_a_voice;

/// Diagnostics beyond so many are not kept: nobody reads them, and noise of 16 MiB would fill the
/// memory with them.
const MOST_DIAGNOSTICS: usize = 10_000;

/// What an example says, as far as it could be read.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Parsed {
    /// The piece.
    pub piece: Piece,
    /// All tokens, comments included.
    pub tokens: Vec<Token>,
    /// What is wrong or doubtful, in the order of the text.
    pub diagnostics: Vec<Diagnostic>,
}

impl Parsed {
    /// The name of the example, in a file of several.
    pub fn name(&self) -> Option<&str> {
        self.piece.head.example.as_ref().map(|name| name.text.as_str())
    }

    /// Whether anything is wrong, rather than doubtful.
    pub fn has_errors(&self) -> bool {
        self.diagnostics.iter().any(Diagnostic::is_error)
    }
}

/// Reads a parts file of one example; of several, the first, with what holds for all. Never fails: see
/// [`Parsed`], and [`examples`] for a file with all its examples.
pub fn parse(text: &str) -> Parsed {
    let Examples { shared_tokens, shared, examples } = examples(text);
    let mut first = examples.into_iter().next().unwrap_or_default();
    first.tokens.splice(..0, shared_tokens);
    first.diagnostics.splice(..0, shared);
    first
}

/// The text of a file, or what is wrong with its bytes.
///
/// # Errors
/// A diagnostic whose span says where the first byte stands that is no text.
pub fn text_of(bytes: &[u8]) -> Result<&str, Box<Diagnostic>> {
    std::str::from_utf8(bytes).map_err(|error| {
        let at = error.valid_up_to();
        let line = bytes[..at].split(|byte| *byte == b'\n').count();
        let message = format!("this file is not UTF-8 text: line {line} has invalid bytes");
        let diagnostic = Diagnostic::new(Code::NotText, Span::new(at, at), message)
            .help("save it as UTF-8 in your text editor");
        Box::new(diagnostic)
    })
}

#[derive(Clone)]
struct Parser<'t> {
    text: &'t str,
    tokens: &'t [Token],
    next: usize,
    piece: Piece,
    diagnostics: Vec<Diagnostic>,
    /// Places of voices by name.
    names: HashMap<&'t str, usize>,
    /// Beside [`Piece::voices`].
    states: Vec<VoiceState>,
    stage: Stage,
    /// What can only be understood once all voices are known.
    subjects: Vec<Named<'t>>,
    marks: Vec<(Named<'t>, EditorsMark)>,
    hands: Vec<(Named<'t>, EditorsHand)>,
    facsimiles: Vec<(Option<Token>, Facsimile)>,
    canons: Vec<PendingCanon<'t>>,
    /// Items of the head that were said already.
    said: Vec<&'t str>,
    /// Whether music before the first voice was reported.
    stray_music: bool,
    /// Whether music stands on the line of its voice, and cannot be broken off for certain: a word that
    /// was fixed there might be taken for a signature or a sign. So nothing is, until the line is broken.
    beside_voice: bool,
    /// The word after the last keyword that lacks its argument: fixed, it might be taken for that.
    not_argument: Option<Span>,
    /// How much more the piece may have.
    room: Room,
    /// How many diagnostics are kept.
    most_diagnostics: usize,
}

/// Where in the file the parser is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Stage {
    Head,
    /// In the music of a voice.
    Voice(usize),
    /// In something that is passed over, and was reported.
    PassedOver,
}

/// A canon whose dux is still a name.
#[derive(Clone)]
struct PendingCanon<'t> {
    comes: usize,
    span: Span,
    dux: &'t str,
    steps: i32,
    after: Time,
}

impl<'t> Parser<'t> {
    fn new(text: &'t str, tokens: &'t [Token]) -> Parser<'t> {
        Parser {
            text,
            tokens,
            next: 0,
            piece: Piece::default(),
            diagnostics: Vec::new(),
            names: HashMap::new(),
            states: Vec::new(),
            stage: Stage::Head,
            subjects: Vec::new(),
            marks: Vec::new(),
            hands: Vec::new(),
            facsimiles: Vec::new(),
            canons: Vec::new(),
            said: Vec::new(),
            stray_music: false,
            beside_voice: false,
            not_argument: None,
            room: Room::new(text, &[], MOST_EVENTS),
            most_diagnostics: MOST_DIAGNOSTICS,
        }
    }

    /// The next token that is no comment.
    fn take(&mut self) -> Option<Token> {
        let token = self.peek()?;
        self.next += 1;
        Some(token)
    }

    /// The token that [`Parser::take`] would give.
    fn peek(&mut self) -> Option<Token> {
        while self.tokens.get(self.next)?.kind == TokenKind::Comment {
            self.next += 1;
        }
        self.tokens.get(self.next).copied()
    }

    /// The next token, if it stands on the same line.
    fn take_on_line(&mut self) -> Option<Token> {
        let token = self.peek().filter(|token| !token.first_on_line)?;
        self.next += 1;
        Some(token)
    }

    fn word(&self, token: Token) -> &'t str {
        token.span.of(self.text)
    }

    fn report(&mut self, mut diagnostic: Diagnostic) {
        let at = diagnostic.span;
        let may_become_argument =
            self.not_argument.is_some_and(|word| word.start <= at.start && at.end <= word.end);
        if self.beside_voice || may_become_argument {
            diagnostic.fix = None;
        }
        if self.diagnostics.len() < self.most_diagnostics {
            self.diagnostics.push(diagnostic);
        }
    }

    /// Sends a token to where it belongs.
    fn token(&mut self, token: Token) {
        let word = self.word(token);
        self.beside_voice &= !token.first_on_line;
        if token.kind == TokenKind::Word && vocabulary::opens_voice(word) {
            return self.voice_line(token);
        }
        if token.kind == TokenKind::Word && token.first_on_line {
            let small = vocabulary::without_colon(word).to_ascii_lowercase();
            if vocabulary::opens_voice(&small) {
                self.unknown_word(token, vocabulary::OPENINGS.into_iter());
                return self.voice_line(token);
            }
            let early = self.stage == Stage::Head;
            if let Some(item) =
                vocabulary::head_item(&small).filter(|item| early || vocabulary::is_head_item(item))
            {
                if item != word {
                    self.unknown_word(token, vocabulary::HEAD_ITEMS.into_iter());
                }
                return self.head_item(token, item);
            }
        }
        match self.stage {
            Stage::Head => self.stray(token),
            Stage::Voice(voice) => self.music(voice, token),
            Stage::PassedOver => {}
        }
    }

    /// A token in the head that is no head item.
    fn stray(&mut self, token: Token) {
        let word = self.word(token);
        let is_music = vocabulary::is_music(word) || suggest::is_meant_as_music(word);
        if token.kind == TokenKind::Word && !is_music {
            self.unknown_word(token, vocabulary::line_words());
            if token.first_on_line {
                while self.take_on_line().is_some() {}
            }
        } else if self.reading_in_head(token) {
        } else if !std::mem::replace(&mut self.stray_music, true) {
            let message = "this is music, but no voice has been opened";
            self.report(
                Diagnostic::new(Code::MusicBeforeVoice, token.span, message)
                    .help("open a voice on a line of its own before it: voice Cantus clef C1"),
            );
        }
    }

    /// A reading of time in the head, where it is not read; whether it is one.
    fn reading_in_head(&mut self, token: Token) -> bool {
        let word = self.word(token);
        if !vocabulary::READINGS.contains(&word) {
            return false;
        }
        let mut span = token.span;
        while let Some(more) = self.take_on_line() {
            span = span.to(more.span);
        }
        let message = format!("`{word}` is not read in the head");
        let typed = span.of(self.text);
        self.report(
            Diagnostic::new(Code::HeadItem, span, message)
                .help(format!("type `{typed}` at the beginning of the music of each voice")),
        );
        true
    }

    /// What is left to be said when all is read up to a byte.
    fn finish(&mut self, end: usize) {
        self.close_groups(end);
        if self.piece.voices.is_empty() {
            let (span, message) = match &self.piece.head.example {
                Some(name) => (name.span, "there is no voice in this example"),
                None => (Span::new(end, end), "there is no voice in this file"),
            };
            self.report(
                Diagnostic::new(Code::NoVoices, span, message)
                    .help("open one on a line of its own: voice Cantus clef C1"),
            );
        }
        self.look_at_clefs();
        self.diagnostics.extend(octaves_asked_for(&self.piece, &[]));
        self.resolve_canons();
        self.resolve_subjects();
        self.resolve_marks();
        self.resolve_hands();
        self.resolve_facsimiles();
    }

    /// Finds the voices whose letters fit another clef.
    fn look_at_clefs(&mut self) {
        for (voice, state) in self.states.iter().enumerate() {
            let Some(typed) = self.piece.voices[voice].clef else { continue };
            let clef_of = |place: usize| self.piece.voices.get(place)?.clef;
            let (above, below) = (voice.checked_sub(1).and_then(clef_of), clef_of(voice + 1));
            if let Some((fitting, troubles)) = clef_meant(typed, &state.letters, above, below) {
                let doubtful = DoubtfulClef { voice, typed, fitting, troubles };
                self.piece.doubtful_clefs.push(doubtful);
            }
        }
    }

    /// At the end of a block: every group of the voice that is open is closed with an error.
    fn close_groups(&mut self, at: usize) {
        if let Stage::Voice(voice) = self.stage {
            while let Some(open) = self.states[voice].groups.last() {
                let (span, group) = (open.span, open.group);
                self.not_closed(span, group);
                self.close_innermost(voice, Span::new(at, at));
            }
        }
    }
}

#[cfg(test)]
mod tests;
