//! What is printed: text for people, in which nothing moves the cursor or hides what follows, and
//! data for programs, which stays as it is.

use std::borrow::Cow;
use std::ops::{Add, AddAssign};

/// Text that is ready to be printed.
#[derive(Clone, Default)]
pub(crate) struct Printed(String);

impl Printed {
    /// Text for people: what would act on a terminal, or cannot be seen, is shown as an escape.
    pub(crate) fn plain(text: impl AsRef<str>) -> Printed {
        Printed(escaped(text.as_ref()).into_owned())
    }

    /// Data for programs, or text whose parts were escaped before it was coloured.
    pub(crate) fn as_it_is(text: impl Into<String>) -> Printed {
        Printed(text.into())
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    pub(crate) fn as_bytes(&self) -> &[u8] {
        self.0.as_bytes()
    }
}

impl AddAssign for Printed {
    fn add_assign(&mut self, more: Printed) {
        self.0.push_str(&more.0);
    }
}

impl Add for Printed {
    type Output = Printed;

    fn add(mut self, more: Printed) -> Printed {
        self += more;
        self
    }
}

/// The text with escapes such as `\u{1b}` for all that acts on a terminal or cannot be seen; lines
/// and tabs stay.
pub(crate) fn escaped(text: &str) -> Cow<'_, str> {
    with_escapes(text, |char| acts(char) && char != '\n' && char != '\t')
}

/// A name or a word as part of one line: line breaks and tabs are escaped too.
pub(crate) fn in_line(text: &str) -> Cow<'_, str> {
    with_escapes(text, acts)
}

fn with_escapes(text: &str, is_escaped: impl Fn(char) -> bool + Copy) -> Cow<'_, str> {
    if !text.contains(is_escaped) {
        return Cow::Borrowed(text);
    }
    let mut shown = String::with_capacity(text.len() + 8);
    for char in text.chars() {
        if is_escaped(char) {
            shown.extend(char.escape_default());
        } else {
            shown.push(char);
        }
    }
    Cow::Owned(shown)
}

/// Whether a character acts on a terminal, turns the direction of the text, breaks its lines, or
/// is not seen at all: the control characters of Unicode (category Cc), its line and paragraph
/// separators, and its format characters (Cf) that could disguise what stands there.
fn acts(char: char) -> bool {
    char.is_control()
        || matches!(char,
            '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}'
            | '\u{e0000}'..='\u{e007f}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_acts_on_a_terminal_is_escaped() {
        for (text, shown) in [
            ("\u{1b}[31mred", "\\u{1b}[31mred"),
            ("bell\u{7}\u{7f}\u{9b}2J", "bell\\u{7}\\u{7f}\\u{9b}2J"),
            ("a\rb", "a\\rb"),
            ("\u{202e}sutnaC\u{202c}", "\\u{202e}sutnaC\\u{202c}"),
            ("\u{2066}x\u{200b}\u{feff}", "\\u{2066}x\\u{200b}\\u{feff}"),
        ] {
            assert_eq!((escaped(text), in_line(text)), (shown.into(), shown.into()));
        }
    }

    #[test]
    fn letters_of_all_scripts_stay() {
        for text in ["Canción, o dolçe ♭ ♯", "e\u{301}", "שיר", "歌", "\\u{1b}"] {
            assert!(matches!(in_line(text), Cow::Borrowed(same) if same == text));
        }
    }

    #[test]
    fn lines_stay_in_a_text_and_not_in_a_name() {
        assert_eq!(escaped("a\n\tb"), "a\n\tb");
        assert_eq!(in_line("a\n\tb"), "a\\n\\tb");
    }
}
