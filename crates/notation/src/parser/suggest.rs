//! What a person most likely meant by a word that means nothing.

use rudiments::{Sign, Step, Value};

use super::vocabulary::{ATTRIBUTES, HEAD_ITEMS, KEYWORDS, is_event, music_words, without_colon};
use super::{Parser, Stage};
use crate::lexer::TokenKind;
use crate::{Code, Diagnostic, Span, Token, words};

/// At most so many letters may be wrong, missing, too many or transposed.
const FARTHEST: usize = 2;

/// The nearest of the known words, if it is near: more of it is right than wrong.
pub(super) fn nearest<'w>(word: &str, known: impl Iterator<Item = &'w str>) -> Option<&'w str> {
    let lower = word.to_lowercase();
    let length = lower.chars().count();
    known
        .map(|candidate| (strsim::osa_distance(&lower, &candidate.to_lowercase()), candidate))
        .filter(|(distance, candidate)| {
            *distance <= FARTHEST && *distance < candidate.len().min(length)
        })
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

/// The value whose name, letters or capital letters these are, with or without a stray dot.
pub(super) fn value_meant(word: &str) -> Option<Value> {
    let lower = word.trim_end_matches('.').to_lowercase();
    Value::ALL.into_iter().find(|value| value.letters() == lower || value.name() == lower)
}

/// A value and a note that were typed without a blank between them.
fn glued_value(word: &str) -> Option<(Value, &str)> {
    let (letters, note) = word.split_at_checked(2)?;
    let value = Value::from_letters(letters)?;
    let is_note = !note.starts_with('.') && is_event(note);
    is_note.then_some((value, note))
}

/// The note or rest that was most likely meant by a word that is none: `Bb` by `Bflat`, `bB` or
/// `Bes`, `_` by `-`, `r` or `rest`.
fn event_meant(word: &str) -> Option<String> {
    const NAMES: [(&str, char); 5] =
        [("flat", 'b'), ("sharp", '#'), ("natural", 'n'), ("es", 'b'), ("is", '#')];
    let is_event = |text: &String| is_event(text);
    if matches!(word.to_lowercase().as_str(), "rest" | "r" | "-" | "–" | "—") {
        return Some("_".to_owned());
    }
    let plain = word.replace('♯', "#").replace('♭', "b").replace('♮', "n");
    if plain != word && is_event(&plain) {
        return Some(plain);
    }
    let mut characters = plain.chars();
    let (first, after) = (characters.next()?, characters.as_str());
    if "#bn".contains(first) && after.starts_with(|c| ('A'..='G').contains(&c)) {
        let (step, rest) = after.split_at(1);
        return Some(format!("{step}{first}{rest}")).filter(is_event);
    }
    let step = Step::from_letter(first)?;
    let lower = after.trim_start_matches('-').to_lowercase();
    if let (Step::A | Step::E, Some(rest)) = (step, lower.strip_prefix('s')) {
        return Some(format!("{step}b{rest}")).filter(is_event);
    }
    NAMES.into_iter().find_map(|(name, sign)| {
        let rest = lower.strip_prefix(name)?;
        Some(format!("{step}{sign}{rest}")).filter(is_event)
    })
}

/// The sign that is meant by a character that looks like it: `¢` for `C|`, `Ø` for `O|`, and the signs of
/// Unicode's musical symbols.
pub(super) fn sign_meant(word: &str) -> Option<Sign> {
    let typed = match word {
        "¢" | "￠" | "𝄵" => "C|",
        "Ø" | "ø" | "⌀" => "O|",
        "𝇈" => "O",
        "𝄴" | "𝇋" => "C",
        "𝇊" => "C.",
        "𝇇" => "O.",
        _ => return None,
    };
    Sign::parse(typed)
}

/// The sign that a word is, or means.
pub(super) fn sign(word: &str) -> Option<Sign> {
    Sign::parse(word).or_else(|| sign_meant(word))
}

/// Items and keywords by names that they have elsewhere, and how they are typed.
const CALLED_OTHERWISE: [(&str, &str); 7] = [
    ("key", "type the signature as `signature Bb`"),
    ("time", "type the sign as `sign C|`"),
    ("meter", "type the sign as `sign C|`"),
    ("part", "open a voice with `voice Cantus clef C1`"),
    ("staff", "open a voice with `voice Cantus clef C1`"),
    ("composer", "put a name into `title`, `source` or `note`"),
    ("author", "put a name into `title`, `source` or `note`"),
];

/// What a word that means nothing most likely means.
pub(super) enum Meant {
    /// A keyword, with capital letters.
    Keyword(&'static str),
    /// A value, with or without a dot that belongs to its note.
    Value { value: Value, dotted: bool },
    /// A value and, from byte `at` on, a note.
    ValueAndNote { value: Value, at: usize },
    /// A note or rest, typed so.
    Event(String),
}

/// Whether a value and a note without a blank between them can be nothing else: `sbD`, `sbd4`; but
/// `sbb` may be a slip for `sb`.
fn is_surely_glued(note: &str) -> bool {
    note.len() > 1 || note.starts_with(|c: char| c.is_ascii_uppercase() || c == '_')
}

/// Whether a word that most likely means a note or rest can be nothing else. A dash may be a tie, and
/// some small words are words.
fn is_sure(word: &str) -> bool {
    !matches!(word, "-" | "–" | "—" | "as" | "es" | "des")
}

/// What a word that means nothing in the music of a voice most likely means.
pub(super) fn meant(word: &str) -> Option<Meant> {
    let plain = without_colon(word);
    let keyword = || KEYWORDS.into_iter().find(|known| known.eq_ignore_ascii_case(plain));
    let near = || nearest(word, music_words()).and_then(Value::from_letters);
    let dotted = word.ends_with('.');
    if let Some(value) = value_meant(word) {
        Some(Meant::Value { value, dotted })
    } else if let Some((value, note)) = glued_value(word) {
        Some(Meant::ValueAndNote { value, at: word.len() - note.len() })
    } else if let Some(word) = keyword() {
        Some(Meant::Keyword(word))
    } else if let Some(event) = event_meant(word) {
        Some(Meant::Event(event))
    } else {
        near().map(|value| Meant::Value { value, dotted })
    }
}

/// Whether a word that is none may be sure to stand for music.
pub(super) fn is_meant_as_music(word: &str) -> bool {
    value_meant(word).is_some() || glued_value(word).is_some() || event_meant(word).is_some()
}

impl Parser<'_> {
    /// Reports an unknown word; `known` are the words that would.
    pub(super) fn unknown_word<'w>(&mut self, token: Token, known: impl Iterator<Item = &'w str>) {
        let word = self.word(token);
        let lower = without_colon(word).to_lowercase();
        let shown: String = word.chars().take(24).collect();
        let message = format!("unknown word `{shown}`");
        let found = Diagnostic::new(Code::UnknownWord, token.span, message);
        let near = if word.len() <= 24 { nearest(word, known) } else { None };
        let joined = format!("D4{word}");
        let otherwise = CALLED_OTHERWISE.into_iter().find(|(called, _)| *called == lower);
        let found = if let Some(value) = value_meant(word) {
            self.value_said_otherwise(found, token, word, value)
        } else if let Some((value, note)) = glued_value(word) {
            let at = Span::new(token.span.start as usize + 2, token.span.start as usize + 2);
            let found = found.help(format!("put a blank between them: {value} {note}"));
            if is_surely_glued(note) { found.fix(at, " ") } else { found }
        } else if let Some(near) = near.filter(|near| *near == lower) {
            if token.first_on_line || KEYWORDS.contains(&near) || ATTRIBUTES.contains(&near) {
                let how = if word.ends_with(':') { "without a colon" } else { "in small letters" };
                found.help(format!("type it {how}: {near}")).fix(token.span, near)
            } else {
                found.help(format!("`{near}` must stand at the beginning of a line"))
            }
        } else if let Some(event) = event_meant(word) {
            let what = if event == "_" { "a rest of the value in force" } else { "this note" };
            let found = found.help(format!("type {what} as {event}"));
            if is_sure(word) { found.fix(token.span, event) } else { found }
        } else if let Some((_, help)) = otherwise {
            found.help(help)
        } else if let Some(sign) = sign(word) {
            found.help(format!("for the sign, type `sign {sign}`"))
        } else if is_event(&joined) {
            found.help(format!("join it to its note, without a blank: {joined}"))
        } else if lower.starts_with('h') {
            found.help("the steps are A to G: the step above A is B, and B flat is typed Bb")
        } else if word.starts_with(':') {
            found.help("type a repeat as ::")
        } else if let Some(near) = near {
            found.help(format!("did you mean `{near}`?"))
        } else if self.stage == Stage::Head {
            found.help(format!(
                "a line of the head begins with one of {}; a voice with `voice`",
                HEAD_ITEMS.join(" ")
            ))
        } else {
            found.help(
                "a note is typed D4, a rest _, a value sb or mn; `cartella explain` lists all words",
            )
        };
        self.report(found);
    }

    fn value_said_otherwise(
        &self,
        found: Diagnostic,
        token: Token,
        word: &str,
        value: Value,
    ) -> Diagnostic {
        if !word.ends_with('.') {
            let help = format!("type the {} as {value}", value.name());
            return found.help(help).fix(token.span, value.letters());
        }
        let help = |typed: &str| format!("the dot stands after the note, not the value: {typed}");
        let Some((note, dotted)) = self.dotted_after() else {
            return found.help(help(&format!("{value} D.")));
        };
        let typed = format!("{value} {dotted}");
        match self.event_of_value(note + 1) {
            Some((_, next)) if !next.starts_with('.') => {
                found.help(help(&format!("{typed} {next}, or {typed} {next}. if that has one too")))
            }
            _ => {
                let note = self.tokens[note].span;
                let between = Span { start: token.span.end, end: note.start }.of(self.text);
                let text = format!("{value}{between}{dotted}");
                found.help(help(&typed)).fix(token.span.to(note), text)
            }
        }
    }

    /// The first note or rest after the token just taken, before any other value: its place among the
    /// tokens, and how it is typed with a dot.
    fn dotted_after(&self) -> Option<(usize, String)> {
        let (place, word) = self.event_of_value(self.next)?;
        let ends = (1..=word.len()).filter(|end| word.is_char_boundary(*end));
        let with_dot = ends.map(|end| format!("{}.{}", &word[..end], &word[end..]));
        let mut whole = [word.to_owned()].into_iter().chain(with_dot);
        let is_dotted =
            |word: &String| matches!(words::event(word), Some((event, "")) if event.dot.is_some());
        Some((place, whole.find(is_dotted)?))
    }

    /// The next note or rest, from a place among the tokens on, with no value before it.
    fn event_of_value(&self, from: usize) -> Option<(usize, &str)> {
        let mut tokens = self.tokens.iter().enumerate().skip(from);
        let (place, token) = tokens.find(|(_, token)| {
            let word = self.word(**token);
            let is_between = matches!(word, "/" | "//" | "::") || word.starts_with('~');
            !(is_between || matches!(token.kind, TokenKind::Comment | TokenKind::Mark))
        })?;
        let word = self.word(*token);
        is_event(word).then_some((place, word))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn transposed_letters_are_near() {
        assert_eq!(nearest("sigantrue", music_words()), Some("signature"));
        assert_eq!(nearest("SB", music_words()), Some("sb"));
        assert_eq!(nearest("xylophone", music_words()), None);
        assert_eq!(nearest("r", music_words()), None);
    }

    #[test]
    fn a_value_may_be_called_by_its_name() {
        assert_eq!(value_meant("minim"), Some(Value::Minim));
        assert_eq!(value_meant("LG."), Some(Value::Longa));
        assert_eq!(glued_value("sbD4"), Some((Value::Semibreve, "D4")));
        assert_eq!(glued_value("sbx"), None);
    }

    #[test]
    fn a_note_may_be_called_by_its_name() {
        for (word, meant) in [
            ("Bflat", "Bb"),
            ("F-sharp5", "F#5"),
            ("fis", "F#"),
            ("bB4", "Bb4"),
            ("#F.", "F#."),
            ("♭B", "Bb"),
            ("F♯4", "F#4"),
            ("es4", "Eb4"),
            ("r", "_"),
            ("-", "_"),
        ] {
            assert_eq!(event_meant(word).as_deref(), Some(meant), "{word}");
        }
        for word in ["bb4", "Bflatten", "flat", "b", "D4"] {
            assert_eq!(event_meant(word), None, "{word}");
        }
    }
}
