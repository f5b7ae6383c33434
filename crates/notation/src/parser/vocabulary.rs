//! The words that have a meaning of their own, and where.

use rudiments::Value;

use crate::words;

/// The word that opens an example.
pub(crate) const OPENING: &str = "example";

/// The words that begin an item of the head.
pub(super) const HEAD_ITEMS: [&str; 15] = [
    "title",
    "composer",
    "source",
    "editor",
    "note",
    "topic",
    "facsimile",
    "layout",
    "subject",
    "mark",
    "hand",
    "break",
    "page",
    // The two that may stand in a voice too come last: see `is_head_item`.
    "sign",
    "signature",
];

/// The words that open a voice or go on with one.
pub(super) const OPENINGS: [&str; 2] = ["voice", "more"];

/// What may stand on the line of a voice after its name.
pub(super) const ATTRIBUTES: [&str; 5] = ["clef", "signature", "sign", "positions", "canon"];

/// The keywords of a voice beside the values.
pub(super) const KEYWORDS: [&str; 6] =
    ["clef", "signature", "sign", "ratio", "perfect", "imperfect"];

/// Those of them that read time.
pub(super) const READINGS: [&str; 3] = ["ratio", "perfect", "imperfect"];

/// The words that may stand in the music of a voice.
pub(super) fn music_words() -> impl Iterator<Item = &'static str> {
    let values = Value::ALL.into_iter().map(Value::letters);
    values.chain(KEYWORDS).chain(line_words())
}

/// The words that may begin a line.
pub(super) fn line_words() -> impl Iterator<Item = &'static str> {
    HEAD_ITEMS.into_iter().chain(OPENINGS).chain([OPENING])
}

/// The item of the head of that name.
pub(super) fn head_item(word: &str) -> Option<&'static str> {
    HEAD_ITEMS.into_iter().find(|item| *item == word)
}

/// Whether a word at the beginning of a line begins a head item, wherever it stands; `sign` and
/// `signature` also stand in voices.
pub(super) fn is_head_item(word: &str) -> bool {
    HEAD_ITEMS[..HEAD_ITEMS.len() - 2].contains(&word)
}

/// Whether a word opens a voice or goes on with one.
pub(super) fn opens_voice(word: &str) -> bool {
    OPENINGS.contains(&word)
}

/// What may stand after the name of a voice, by its word in small or capital letters, with or
/// without a colon after it.
pub(super) fn attribute(word: &str) -> Option<&'static str> {
    let word = without_colon(word);
    ATTRIBUTES.into_iter().find(|attribute| attribute.eq_ignore_ascii_case(word))
}

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
        || is_event(word)
}

/// Whether a word is a note or rest.
pub(super) fn is_event(word: &str) -> bool {
    matches!(words::event(word), Some((_, "")))
}

/// Whether a word may be the name of a voice; a keyword may not.
pub fn may_name_a_voice(word: &str) -> bool {
    !is_taken(word)
}

/// Whether a word has a meaning that keeps it from being a name or an argument.
pub(super) fn is_taken(word: &str) -> bool {
    opens_voice(word) || attribute(word).is_some() || is_head_item(word) || is_value(word)
}

/// A word without a colon after it, as it may stand after a keyword.
pub(super) fn without_colon(word: &str) -> &str {
    word.strip_suffix(':').unwrap_or(word)
}
