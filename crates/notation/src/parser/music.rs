//! The tokens of a voice.

use rudiments::{Sign, Step, Tone, Value};

use super::arguments::Place;
use super::state::{OpenGroup, bare_letter};
use super::suggest::{Meant, is_meant_as_music, meant};
use super::{Parser, room};
use crate::lexer::TokenKind;
use crate::words::{self, Body, EventWord, HeadWord, PlaceWord};
use crate::{
    Code, Diagnostic, Dot, Event, Group, Item, ItemKind, Layout, Note, Sound, Span, Standing,
    Token, Voice,
};

/// The keywords of a voice beside the values.
pub(super) const KEYWORDS: [&str; 6] =
    ["clef", "signature", "sign", "ratio", "perfect", "imperfect"];

/// Whether a word is a value.
pub(super) fn is_value(word: &str) -> bool {
    Value::from_letters(word).is_some()
}

/// Whether a word may stand in the music of a voice.
pub(super) fn is_music(word: &str) -> bool {
    is_value(word)
        || KEYWORDS.contains(&word)
        || matches!(word, "/" | "//" | "::")
        || word.starts_with('~')
        || matches!(words::event(word), Some((_, "")))
}

/// Groups stand at most so deep in one another.
const DEEPEST: usize = 4;

/// Whether what is left over of a word that begins with a step shows that it is no note at all.
fn is_wordlike(rest: &str) -> bool {
    rest.chars().take_while(|c| c.is_alphabetic()).count() >= 2
}

/// Whether music may be in a word that stands among words without a closing quote.
fn holds_music(word: &str) -> bool {
    is_music(word) || word.contains(['(', ')', '{', '}', '[', ']', '<', '>', '|', '\\', '/'])
}

/// Whether two words of music without a blank between them can be nothing else: `D4E`, `DE`, `D/`;
/// but `Da` and `ad` may be words.
fn is_surely_parted(known: &str, rest: &str) -> bool {
    known.len() > 1 || !rest.starts_with(|c: char| c.is_ascii_lowercase())
}

/// Whether what is left over of a word is a word of its own, to which a blank is missing.
fn is_another_word(rest: &str) -> bool {
    // A `b` is rather a sign, and a figure no note.
    let is_event = !rest.starts_with(|c: char| "bn#[-".contains(c) || c.is_ascii_digit())
        && matches!(words::event(rest), Some((_, "")));
    matches!(rest, "/" | "//" | "::") || words::direct(rest).is_some() || is_event
}

impl<'t> Parser<'t> {
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

    fn keyword(&mut self, voice: usize, token: Token, word: &str) {
        match word {
            "ratio" | "perfect" | "imperfect" => self.reading(voice, token, word),
            _ => self.change(voice, token, word),
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

    fn quoted(&mut self, voice: usize, token: Token, closed: bool) {
        let words = self.unquoted(token, closed).to_owned();
        self.push(voice, token.span, ItemKind::Words(words));
    }

    /// What stands in quotes. Where they are not closed, that is reported.
    pub(super) fn unquoted(&mut self, token: Token, closed: bool) -> &'t str {
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

    fn change(&mut self, voice: usize, token: Token, word: &str) {
        let positions = self.piece.voices[voice].positions;
        let place = if positions { Place::Positions } else { Place::Letters };
        let kind = match word {
            "clef" => self.clef(token, place).map(ItemKind::Clef),
            "signature" => self.signature(token, place).map(ItemKind::Signature),
            _ => self.argument(token, Sign::parse, Self::no_such_sign).map(ItemKind::Sign),
        };
        if let Some(kind) = kind {
            if let ItemKind::Clef(clef) = kind {
                self.states[voice].now.clef = Some(clef);
            }
            self.push(voice, self.span_to_here(token), kind);
        }
    }

    /// From a keyword to the last token taken.
    fn span_to_here(&self, token: Token) -> Span {
        token.span.to(self.tokens[self.next - 1].span)
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
            let divisible =
                |word: &str| Value::from_letters(word).filter(|value| *value <= Value::Semibreve);
            let perfect = word == "perfect";
            self.argument(token, divisible, unread)
                .map(|value| ItemKind::Perfection { value, perfect })
        };
        if let Some(kind) = kind {
            self.push(voice, self.span_to_here(token), kind);
        }
    }

    fn no_such_reading(&mut self, span: Span, help: &str) {
        self.report(
            Diagnostic::new(Code::NoSuchReading, span, "this reading of time is incomplete")
                .help(help),
        );
    }

    fn oblique(&mut self, voice: usize, token: Token) {
        let after_a_note = match self.piece.voices[voice].items.last() {
            Some(Item { kind: ItemKind::Event(event), .. }) => !event.is_rest(),
            _ => false,
        };
        if self.states[voice].is_open(Group::Ligature) && after_a_note {
            self.push(voice, token.span, ItemKind::Oblique);
        } else {
            let message = "an oblique body joins two notes of a ligature";
            self.report(
                Diagnostic::new(Code::ObliqueOutside, token.span, message)
                    .help("type it between them, in ( ): ( br D \\ C )"),
            );
        }
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

    /// `|`: the middle of an emendation, or a printed bar line.
    fn stroke(&mut self, voice: usize, token: Token) {
        let sided = |open: &OpenGroup| matches!(open.group, Group::Emendation | Group::Variant);
        let groups = &self.states[voice].groups;
        if let Some(place) =
            groups.iter().rposition(|open| sided(open) && open.printed_end.is_none())
        {
            while self.states[voice].groups.len() > place + 1 {
                let open = self.states[voice].groups[self.states[voice].groups.len() - 1];
                self.not_closed(open.span, open.group);
                self.close_innermost(voice, token.span);
            }
            let state = &mut self.states[voice];
            let open = &mut state.groups[place];
            open.printed_end = Some(state.now);
            state.now = open.entry;
            self.push(voice, token.span, ItemKind::Divide);
        } else if self.piece.head.layout == Layout::Barred {
            self.push(voice, token.span, ItemKind::BarLine);
        } else if groups.iter().any(sided) {
            self.report(
                Diagnostic::new(Code::EmendationSides, token.span, "this is a second `|`")
                    .help("an emendation has two sides: < printed | read >"),
            );
        } else {
            let help = match self.sign_before(token) {
                Some(sign) => format!("for the sign, type `sign {sign}`"),
                None => {
                    "leave it out, or type `layout barred` in the head; the end of a section is ||"
                        .to_owned()
                }
            };
            let message = "a bar line, but this source has none";
            self.report(Diagnostic::new(Code::BarLineUnbarred, token.span, message).help(help));
        }
    }

    /// The sign that a stroke makes of the word to which it is joined: `C|`.
    fn sign_before(&self, stroke: Token) -> Option<Sign> {
        let before = self.tokens.get(self.next.checked_sub(2)?)?;
        let joined = before.kind == TokenKind::Word && before.span.end == stroke.span.start;
        joined.then(|| Sign::parse(&format!("{}|", self.word(*before))))?
    }

    fn open(&mut self, voice: usize, token: Token, group: Group) {
        let standing = self.states[voice].standing();
        if let Some(first) = self.states[voice].groups.iter().find(|open| open.group == group) {
            let (opened, name) = (first.span, name_of(group));
            self.report(
                Diagnostic::new(
                    Code::GroupInItself,
                    token.span,
                    format!("a {name} within a {name}"),
                )
                .related(opened, "opened here, and not closed yet")
                .help("close the first before this one; this one is ignored"),
            );
            self.states[voice].passed_over.push(group);
            return;
        }
        if self.states[voice].groups.len() == DEEPEST {
            let message = format!("this is the {}th group within another", DEEPEST + 1);
            self.report(
                Diagnostic::new(Code::GroupInItself, token.span, message)
                    .help(format!("groups stand {DEEPEST} deep at most; this one is ignored")),
            );
            self.states[voice].passed_over.push(group);
            return;
        }
        if group == Group::Supplied && standing == Standing::Replaced {
            let message = "what is supplied is not printed, so it cannot stand on this side";
            self.report(
                Diagnostic::new(Code::SuppliedInPrinted, token.span, message)
                    .help("put it after the | of the emendation"),
            );
            self.states[voice].passed_over.push(group);
            return;
        }
        let state = &mut self.states[voice];
        if group == Group::Ligature {
            state.ligatures += 1;
        }
        state.groups.push(OpenGroup {
            group,
            span: token.span,
            entry: state.now,
            first_index: state.next_index,
            printed_end: None,
            taken: 0,
        });
        let kind = ItemKind::Open(group);
        self.piece.voices[voice].items.push(Item { span: token.span, standing, kind });
    }

    fn close(&mut self, voice: usize, token: Token, groups: &[Group]) {
        let open = self.states[voice].groups.iter().rposition(|open| groups.contains(&open.group));
        let Some(place) = open else {
            let passed_over = &mut self.states[voice].passed_over;
            if let Some(place) = passed_over.iter().rposition(|group| groups.contains(group)) {
                // Its opening was reported.
                passed_over.remove(place);
                return;
            }
            let message = format!("no {} is open here", name_of(groups[0]));
            self.report(
                Diagnostic::new(Code::GroupNotOpen, token.span, message)
                    .help("type its opening before it, or leave it out"),
            );
            return;
        };
        // Coloration and ligatures may overlap; all other groups close in reverse order.
        let overlap = |group| matches!(group, Group::Ligature | Group::Coloration);
        let this = self.states[voice].groups[place].group;
        while let Some(inner) = self.states[voice].groups.get(place + 1..).and_then(<[_]>::last) {
            let (span, group) = (inner.span, inner.group);
            if overlap(this) && overlap(group) {
                break;
            }
            self.not_closed(span, group);
            self.close_innermost(voice, token.span);
        }
        self.close_at(voice, place, token.span);
    }

    pub(super) fn close_innermost(&mut self, voice: usize, span: Span) {
        if let Some(place) = self.states[voice].groups.len().checked_sub(1) {
            self.close_at(voice, place, span);
        }
    }

    fn close_at(&mut self, voice: usize, place: usize, span: Span) {
        let state = &mut self.states[voice];
        let open = state.groups.remove(place);
        match open.group {
            Group::Supplied => state.now.value = open.entry.value,
            Group::Emendation | Group::Variant => match open.printed_end {
                Some(printed) => state.now = printed,
                None => self.report(
                    Diagnostic::new(
                        Code::EmendationSides,
                        open.span,
                        "one of the two sides is missing",
                    )
                    .related(span, "it ends here")
                    .help("type | between what is printed and what is read: < mn G | sm G >"),
                ),
            },
            Group::Ligature => self.oblique_ends(voice),
            Group::Coloration => {}
        }
        self.push(voice, span, ItemKind::Close(open.group));
    }

    /// At the end of a ligature: an oblique body there joins nothing.
    fn oblique_ends(&mut self, voice: usize) {
        if let Some(Item { kind: ItemKind::Oblique, span, .. }) =
            self.piece.voices[voice].items.last()
        {
            let message = "an oblique body joins two notes of a ligature";
            let diagnostic = Diagnostic::new(Code::ObliqueOutside, *span, message)
                .help("type it between them: ( br D \\ C )");
            self.report(diagnostic);
        }
    }

    pub(super) fn not_closed(&mut self, span: Span, group: Group) {
        let (name, close) = (name_of(group), group.closing());
        self.report(
            Diagnostic::new(Code::GroupNotClosed, span, format!("this {name} is not closed"))
                .help(format!("type {close} after its last note")),
        );
    }

    fn direct(&mut self, voice: usize, token: Token, word: &str) {
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

    fn event(&mut self, voice: usize, token: Token, word: &str) {
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
        self.unknown_word(token, Self::music_words());
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
                let found = diagnostic
                    .help(format!("put a blank between them: {} {}", short(known), short(rest)));
                if is_surely_parted(known, rest) {
                    found.fix(Span::new(start, start), " ")
                } else {
                    found
                }
            }
            '/' => diagnostic.help("put blanks around /, the end of a source line: D4 / E"),
            ':' => diagnostic.help("type a repeat as ::, with a blank before it: D4 ::"),
            '~' => diagnostic.help("a direct has the step of the next note, as ~E, after a blank"),
            '\'' | ',' | '’' => {
                diagnostic.help("the octave is a digit: C4 is middle C, B3 the step below it, C5 \
                                 an octave above")
            }
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
            _ => diagnostic.help(
                "a note has its step, sign, editor's sign, octave, dot, corona ^, signum %, doubt ?",
            ),
        });
    }

    /// An event, or the rests of `_*4`.
    fn events(&mut self, voice: usize, token: Token, word: &EventWord) {
        let span = token.span;
        if self.piece.voices[voice].canon.is_some() {
            if !std::mem::replace(&mut self.states[voice].canon_music, true) {
                let message = "this voice follows another, so it has no music of its own";
                self.report(
                    Diagnostic::new(Code::CanonUnclear, span, message)
                        .help("leave the notes out, or the word canon and what follows it"),
                );
            }
            return;
        }
        let value = self.value(voice, span, word);
        let (times, sound) = match &word.body {
            Body::Rest { times, spaces } => {
                if spaces.is_some() && value != Value::Longa {
                    let message = "only a long rest covers two or three spaces";
                    self.report(
                        Diagnostic::new(Code::LongRest, span, message)
                            .help("type lg before it; or _*2, _*3 for several rests"),
                    );
                }
                let spaces = spaces.filter(|_| value == Value::Longa);
                (*times as usize, Sound::Rest { spaces })
            }
            Body::Heads(heads) => {
                let notes: Vec<Note> =
                    heads.iter().filter_map(|head| self.note(voice, span, *head)).collect();
                (1, Sound::Notes(notes))
            }
        };
        let dot_meant = std::mem::take(&mut self.states[voice].dot_meant) && !word.completing;
        let dot = word.dot.or(dot_meant.then_some(Dot::Plain));
        self.states[voice].now.dotted = dot.is_some();
        if let Sound::Notes(notes) = &sound
            && let Some(first) = notes.first()
        {
            self.states[voice].now.previous = Some(first.tone);
        }
        let event = Event {
            index: None,
            value,
            completing: word.completing,
            sound,
            dot,
            corona: word.corona,
            signum: word.signum,
            doubt: word.doubt,
            length: word.length,
            colored: false,
            ligature: None,
        };
        let read = self.states[voice].standing().is_read();
        let lasting = read.then(|| (voice, room::printed_length(&event)));
        for _ in 0..self.admitted(lasting, span, times) {
            let item = self.states[voice].event(span, event.clone());
            self.piece.voices[voice].items.push(item);
        }
    }

    /// The value of an event: the one in force, or the half of it for a completing note.
    fn value(&mut self, voice: usize, span: Span, word: &EventWord) -> Value {
        let state = &mut self.states[voice];
        let dotted = state.now.dotted;
        let missing =
            state.now.value.is_none() && !std::mem::replace(&mut state.value_missing, true);
        let value = state.now.value.unwrap_or(Value::Minim);
        if missing {
            let message = "no value is in force here";
            self.report(
                Diagnostic::new(Code::NoValue, span, message)
                    .help("type the value before the note: sb for a semibreve, mn for a minim, …"),
            );
        }
        if !word.completing {
            return value;
        }
        let half = value.smaller();
        if !dotted || half.is_none() {
            let message = "this completes nothing: the note before it has no dot";
            let message = if half.is_none() { "no value is half a semifusa" } else { message };
            self.report(
                Diagnostic::new(Code::CompletingNote, span, message)
                    .help("type the dot of the note before: mn G. .F; or the value of this one"),
            );
        }
        half.unwrap_or(value)
    }

    fn note(&mut self, voice: usize, span: Span, head: HeadWord) -> Option<Note> {
        let tone = self.tone(voice, span, head.place)?;
        Some(Note { tone, printed: head.printed, editorial: head.editorial })
    }

    /// The tone of a letter or position under the clef in force.
    fn tone(&mut self, voice: usize, span: Span, place: PlaceWord) -> Option<Tone> {
        self.mixed(voice, span, place);
        let now = self.states[voice].now;
        let Some(clef) = now.clef else {
            self.no_clef(voice);
            // The notes are still read, by their octaves or as near as can be.
            let near = now.previous.unwrap_or(Tone::new(Step::C, 4));
            return match place {
                PlaceWord::Letter(step, Some(octave)) => Some(Tone::new(step, octave)),
                PlaceWord::Letter(step, None) => Some(nearest(step, near)),
                PlaceWord::Position(_) => None,
            };
        };
        Some(match place {
            PlaceWord::Position(place) => clef.tone_at(place),
            PlaceWord::Letter(step, Some(octave)) => Tone::new(step, octave),
            PlaceWord::Letter(step, None) => {
                bare_letter(clef, step, now.previous).unwrap_or_else(|(low, high)| {
                    self.undecided(span, step, low, high);
                    let far = |tone: Tone| now.previous.map(|near| tone.steps_above(near).abs());
                    if far(high) < far(low) { high } else { low }
                })
            }
        })
    }

    fn no_clef(&mut self, voice: usize) {
        if !std::mem::replace(&mut self.states[voice].clef_missing, true) {
            let Voice { name, span, .. } = &self.piece.voices[voice];
            let diagnostic = Diagnostic::new(Code::NoClef, *span, format!("{name} has no clef"))
                .help(format!("type the clef that is printed: voice {name} clef C1"));
            self.report(diagnostic);
        }
    }

    fn undecided(&mut self, span: Span, step: Step, low: Tone, high: Tone) {
        let message = format!("{step} has two places on this staff");
        self.report(
            Diagnostic::new(Code::OctaveUndecided, span, message)
                .help(format!("type {low} for the lower or {high} for the higher one")),
        );
    }

    /// Reports letters among positions and the other way round.
    fn mixed(&mut self, voice: usize, span: Span, place: PlaceWord) {
        let positions = self.piece.voices[voice].positions;
        let (message, help) = match place {
            PlaceWord::Letter(..) if positions => (
                "a letter, but this voice is typed in positions",
                "type its place on the staff, 1 to 11".to_owned(),
            ),
            PlaceWord::Position(_) if !positions => {
                let word = span.of(self.text);
                let sign = Sign::parse(word).map(|sign| format!("; for the sign, `sign {sign}`"));
                (
                    "a position, but this voice is typed in letters",
                    format!(
                        "type its letter{}; or `positions` on the line that opens the voice",
                        sign.unwrap_or_default()
                    ),
                )
            }
            _ => return,
        };
        // One voice, one slip: most likely the word `positions` is missing or too many.
        if !std::mem::replace(&mut self.states[voice].mixed, true) {
            self.report(Diagnostic::new(Code::PositionOrLetter, span, message).help(help));
        }
    }
}

/// The tone of a step that is nearest to another.
fn nearest(step: Step, near: Tone) -> Tone {
    let tone = Tone::new(step, near.octave);
    match tone.steps_above(near) {
        4.. => tone.up(-7),
        ..=-4 => tone.up(7),
        _ => tone,
    }
}

fn name_of(group: Group) -> &'static str {
    match group {
        Group::Ligature => "ligature ( )",
        Group::Coloration => "passage in coloration { }",
        Group::Supplied => "supplied passage [ ]",
        Group::Emendation => "reading emended < | >",
        Group::Variant => "variant <? | >",
    }
}

/// At most a few characters of what was typed.
fn short(text: &str) -> String {
    text.chars().take(24).collect()
}
