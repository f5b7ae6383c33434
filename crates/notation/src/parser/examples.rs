//! A file of several examples: `example NAME` opens the next one. What stands before the first holds
//! for all.

use std::collections::HashMap;

use super::room::Room;
use super::vocabulary::{OPENING, without_colon};
use super::{MOST_DIAGNOSTICS, Parsed, Parser, Stage, doubts};
use crate::lexer::{Token, TokenKind, tokens};
use crate::limits::{LARGEST_SHARED, LARGEST_TEXT, MOST_EVENTS_OF_ALL, MOST_EXAMPLES};
use crate::{Code, Diagnostic, Piece, Span, Text};

/// The longest name of an example, in characters; it becomes part of names of files.
const LONGEST_NAME: usize = 64;

/// What a parts file says, example by example. All spans are places in the whole text.
#[derive(Clone, PartialEq, Debug)]
pub struct Examples {
    /// Of a file with `example` lines, the tokens before the first; they hold for all.
    pub shared_tokens: Vec<Token>,
    /// What is wrong or doubtful there.
    pub shared: Vec<Diagnostic>,
    /// The examples, in order; never empty. A file without `example` lines is one without a name.
    pub examples: Vec<Parsed>,
}

impl Examples {
    fn of_one(parsed: Parsed) -> Examples {
        Examples { shared_tokens: Vec::new(), shared: Vec::new(), examples: vec![parsed] }
    }

    /// Everything wrong or doubtful, in the order of the text.
    pub fn diagnostics(&self) -> impl Iterator<Item = &Diagnostic> {
        self.shared.iter().chain(self.examples.iter().flat_map(|parsed| &parsed.diagnostics))
    }

    /// Whether anything is wrong, rather than doubtful.
    pub fn has_errors(&self) -> bool {
        self.diagnostics().any(Diagnostic::is_error)
    }
}

/// Reads a parts file with all its examples. Never fails: see [`Examples`].
pub fn examples(text: &str) -> Examples {
    if text.len() > LARGEST_TEXT {
        let size = text.len() >> 20;
        let message = format!("this file has {size} MiB; a parts file may have 16 MiB");
        let diagnostic = Diagnostic::new(Code::TooLarge, Span::default(), message)
            .help("put each piece into a file of its own");
        let diagnostics = vec![diagnostic];
        return Examples::of_one(Parsed {
            piece: Piece::default(),
            tokens: Vec::new(),
            diagnostics,
        });
    }
    let tokens = tokens(text);
    let mut reader = Reader::new(text, &tokens);
    reader.parser.room = reader.room(0);
    while let Some(token) = reader.parser.take() {
        if !reader.is_opening(token) {
            reader.parser.token(token);
        } else if !reader.open(token) {
            break;
        }
    }
    reader.close(text.len(), tokens.len());
    Examples {
        shared_tokens: reader.shared_tokens,
        shared: reader.shared_diagnostics,
        examples: reader.examples,
    }
}

/// Reads one example after another.
struct Reader<'t> {
    text: &'t str,
    tokens: &'t [Token],
    /// In the example that is being read, or in what holds for all.
    parser: Parser<'t>,
    /// The place of its first token.
    begin: usize,
    /// The parser as it was before the first example, once there is one.
    shared: Option<Parser<'t>>,
    shared_tokens: Vec<Token>,
    shared_diagnostics: Vec<Diagnostic>,
    examples: Vec<Parsed>,
    /// The names so far in small letters, since not all file systems tell them apart otherwise.
    names: HashMap<String, Span>,
    /// How many diagnostics are kept of examples that were read, and how many events they have.
    kept: usize,
    events: usize,
}

impl<'t> Reader<'t> {
    fn new(text: &'t str, tokens: &'t [Token]) -> Reader<'t> {
        Reader {
            text,
            tokens,
            parser: Parser::new(text, tokens),
            begin: 0,
            shared: None,
            shared_tokens: Vec::new(),
            shared_diagnostics: Vec::new(),
            examples: Vec::new(),
            names: HashMap::new(),
            kept: 0,
            events: 0,
        }
    }

    /// Whether a token opens an example.
    fn is_opening(&self, token: Token) -> bool {
        token.kind == TokenKind::Word
            && token.first_on_line
            && without_colon(token.span.of(self.text)).eq_ignore_ascii_case(OPENING)
    }

    /// The room of the piece that begins at a token and ends before the next example.
    fn room(&self, begin: usize) -> Room {
        let rest = &self.tokens[begin..];
        let after = rest.iter().skip(1).position(|token| self.is_opening(*token));
        let own = &rest[..after.map_or(rest.len(), |place| place + 1)];
        Room::new(self.text, own, MOST_EVENTS_OF_ALL - self.events)
    }

    /// Opens an example, its first word taken; whether there is room for one more.
    fn open(&mut self, token: Token) -> bool {
        let here = self.parser.next - 1;
        if self.shared.is_none() && self.parser.piece.voices.is_empty() {
            self.share(here, token);
        } else {
            if self.shared.is_none() {
                self.without_name(token);
            }
            self.close(token.span.start as usize, here);
        }
        let Some(shared) = &self.shared else { return false };
        self.parser = shared.clone();
        self.begin = here;
        self.parser.next = here + 1;
        self.parser.room = self.room(here);
        self.parser.most_diagnostics = MOST_DIAGNOSTICS - self.kept;
        if self.examples.len() == MOST_EXAMPLES {
            let message = format!("this example is one more than the {MOST_EXAMPLES} allowed");
            self.parser.report(
                Diagnostic::new(Code::TooLarge, token.span, message)
                    .help("put the rest into another file; it is not read"),
            );
            return false;
        }
        self.name(token);
        true
    }

    /// What was read so far holds for all examples.
    fn share(&mut self, here: usize, token: Token) {
        self.shared_tokens = self.tokens[..here].to_vec();
        let mut shared = self.parser.clone();
        if token.span.start as usize > LARGEST_SHARED {
            let kib = LARGEST_SHARED >> 10;
            let message = format!("what stands before the first example has more than {kib} KiB");
            shared = Parser::new(self.text, self.tokens);
            self.parser.report(
                Diagnostic::new(Code::TooLarge, token.span, message)
                    .help("say it in the examples; none of it is read for them"),
            );
        }
        shared.diagnostics.clear();
        shared.said.clear();
        shared.stray_music = false;
        shared.stage = Stage::Head;
        self.shared_diagnostics = std::mem::take(&mut self.parser.diagnostics);
        self.kept = self.shared_diagnostics.len();
        self.shared = Some(shared);
    }

    /// Voices before the first example are an example without a name.
    fn without_name(&mut self, token: Token) {
        let first = self.parser.piece.voices[0].span;
        self.parser.report(
            Diagnostic::new(Code::ExampleName, first, "this voice stands in no example")
                .related(token.span, "the first one is opened here")
                .help("open one on a line before the voice: example 1"),
        );
        let mut shared = Parser::new(self.text, self.tokens);
        shared.piece.head = self.parser.piece.head.clone();
        self.shared = Some(shared);
    }

    /// The name of the example that is opened: a word of its own; where it is missing or taken, one is
    /// made up.
    fn name(&mut self, token: Token) {
        let typed = self.parser.word(token);
        if typed != OPENING {
            self.parser.unknown_word(token, [OPENING].into_iter());
        }
        let mut words = Vec::new();
        while let Some(word) = self.parser.take_on_line() {
            words.push(word);
        }
        let made_up =
            || Text { text: format!("Example-{}", self.examples.len() + 1), span: token.span };
        let wrong = |span, message: String| Diagnostic::new(Code::ExampleName, span, message);
        let (name, wrong) = match words.as_slice() {
            [] => {
                let found = wrong(token.span, "this example has no name".to_owned());
                (made_up(), Some(found.help("name it in one word: example 12")))
            }
            [first, ..] => {
                let span = first.span.to(words[words.len() - 1].span);
                let name = span.of(self.text);
                let before = self.names.get(&name.to_lowercase()).copied();
                if let Some(before) = before {
                    let found = wrong(span, format!("there is an example `{name}` already"));
                    let found = found.related(before, "here");
                    (made_up(), Some(found.help("give it a name of its own")))
                } else if is_name(name) {
                    (Text { text: name.to_owned(), span }, None)
                } else {
                    let found = wrong(span, "this is no name of an example".to_owned());
                    let help = "a name is one word of letters, figures, - and _, and begins with a letter \
                                or figure: example 12-a";
                    (Text { span, ..made_up() }, Some(found.help(help)))
                }
            }
        };
        if let Some(wrong) = wrong {
            self.parser.report(wrong);
        }
        self.names.insert(name.text.to_lowercase(), name.span);
        self.parser.piece.head.example = Some(name);
    }

    /// Closes the example that is being read, which ends at a byte and before a token.
    fn close(&mut self, end: usize, before: usize) {
        let next = Parser::new(self.text, self.tokens);
        let mut parser = std::mem::replace(&mut self.parser, next);
        parser.finish(end);
        let Parser { piece, mut diagnostics, room, most_diagnostics, .. } = parser;
        diagnostics.extend(doubts::doubts(&piece));
        diagnostics.sort_by_key(|diagnostic| (diagnostic.span, diagnostic.code));
        diagnostics.truncate(most_diagnostics);
        self.kept += diagnostics.len();
        self.events = (self.events + room.events()).min(MOST_EVENTS_OF_ALL);
        let tokens = self.tokens[self.begin..before].to_vec();
        self.examples.push(Parsed { piece, tokens, diagnostics });
    }
}

/// Whether a word may be the name of an example; it becomes part of names of files, and stands after
/// `#` in the name of one.
fn is_name(word: &str) -> bool {
    let may_stand = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.');
    word.chars().count() <= LONGEST_NAME
        && word.starts_with(char::is_alphanumeric)
        && word.chars().all(may_stand)
}

#[cfg(test)]
mod tests {
    use super::*;

    const DUO: &str = "voice A clef C1\n  sb A4 B lg C5\n";

    fn names(text: &str) -> Vec<String> {
        let named = |parsed: &Parsed| parsed.piece.head.example.clone().map(|name| name.text);
        examples(text).examples.iter().map(|parsed| named(parsed).unwrap_or_default()).collect()
    }

    /// The codes and messages of a text.
    fn found(text: &str) -> Vec<(Code, String)> {
        examples(text).diagnostics().map(|found| (found.code, found.message.clone())).collect()
    }

    fn named_wrong(text: &str, message: &str) {
        assert_eq!(found(text), [(Code::ExampleName, message.to_owned())], "{text}");
    }

    #[test]
    fn a_file_without_examples_is_one() {
        let read = examples(DUO);
        assert_eq!((read.examples.len(), read.examples[0].piece.head.example.clone()), (1, None));
    }

    #[test]
    fn what_stands_before_holds_for_all() {
        let text = format!(
            "title A chapter\nsign C|\nnote one\ntopic a, b\nexample 1\n{DUO}example 2\ntitle Another\nnote two\n\
             topic c\n{DUO}"
        );
        let read = examples(&text);
        assert_eq!(read.diagnostics().count(), 0);
        let [first, second] = read.examples.as_slice() else { panic!("{read:?}") };
        let (first, second) = (&first.piece.head, &second.piece.head);
        let title = |head: &crate::Head| head.title.clone().map(|title| title.text);
        assert_eq!(title(first).as_deref(), Some("A chapter"));
        assert_eq!(title(second).as_deref(), Some("Another"));
        assert_eq!((first.notes.len(), second.notes.len()), (1, 2));
        assert_eq!(second.topics().collect::<Vec<_>>(), ["a", "b", "c"]);
        assert_eq!(second.sign, first.sign);
    }

    #[test]
    fn spans_are_places_in_the_whole_text() {
        let text = format!("example a\n{DUO}\nexample b\n{DUO}");
        for parsed in examples(&text).examples {
            assert_eq!(parsed.piece.voices[0].span.of(&text), "A");
            assert_eq!(parsed.tokens[0].span.of(&text), "example");
            let head = parsed.piece.head;
            let name = head.example.unwrap();
            assert_eq!(name.span.of(&text), name.text);
        }
    }

    #[test]
    fn names_are_words_of_their_own() {
        assert_eq!(names(&format!("example 12-a\n{DUO}example É_2.b\n{DUO}")), ["12-a", "É_2.b"]);
        let text = format!("example\n{DUO}");
        named_wrong(&text, "this example has no name");
        assert_eq!(names(&text), ["Example-1"]);
        named_wrong(
            &format!("example a\n{DUO}example A\n{DUO}"),
            "there is an example `A` already",
        );
        for name in ["a b", "../a", ".a", "a/b", "a#b", "-a", "\"a\"", "(a)"] {
            named_wrong(&format!("example {name}\n{DUO}"), "this is no name of an example");
        }
    }

    #[test]
    fn the_word_may_be_mistyped_and_name_a_voice() {
        let found = examples(&format!("Example: a\n{DUO}"));
        let [found] = found.examples[0].diagnostics.as_slice() else { panic!("{found:?}") };
        assert_eq!(found.fix, Some(crate::Edit::new(Span::new(0, 8), "example")));
        assert_eq!(names("voice example clef C1\n  sb A4\n"), [""]);
    }

    #[test]
    fn voices_and_music_have_their_place() {
        named_wrong(&format!("{DUO}example a\n{DUO}"), "this voice stands in no example");
        let stray = format!("example a\n  sb A4\n{DUO}");
        assert_eq!(found(&stray)[0].0, Code::MusicBeforeVoice);
        let empty = format!("example a\nexample b\n{DUO}");
        let none = "there is no voice in this example";
        assert_eq!(found(&empty), [(Code::NoVoices, none.to_owned())]);
    }

    #[test]
    fn limits_hold() {
        let many = format!("example a1\n{DUO}").replace("a1", "a");
        let text: String = (0..=MOST_EXAMPLES)
            .map(|number| many.replace(" a\n", &format!(" a{number}\n")))
            .collect();
        let read = examples(&text);
        assert_eq!(read.examples.len(), MOST_EXAMPLES + 1);
        assert!(read.examples[MOST_EXAMPLES].piece.voices.is_empty());
        assert_eq!(found(&text)[0].0, Code::TooLarge);

        let rests = "voice A clef C1\n  sf _*9999 _*9999\n";
        let full = format!("voice A clef C1\n  sf{}\n", " _*9999".repeat(50));
        let text: String = (0..5).map(|number| format!("example {number}\n{full}")).collect();
        let read = examples(&(text + "example last\n" + rests));
        let events = read.examples.iter().map(|parsed| parsed.piece.voices[0].items.len());
        assert_eq!(events.collect::<Vec<_>>(), [499_950, 499_950, 499_950, 499_950, 200, 0]);

        let long = format!("note {}\nexample a\n{DUO}", "x".repeat(70_000));
        let read = examples(&long);
        assert_eq!(read.shared[0].code, Code::TooLarge);
        assert_eq!(read.examples[0].piece.head.notes, []);
    }
}
