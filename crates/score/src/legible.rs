//! What a person typed, made fit for every output.

use std::borrow::Cow;

/// The text, with a blank for every tab and line break, and the replacement character U+FFFD for what is
/// no character to be read: controls, and code points that never will be characters.
///
/// What is left may stand in XML (XML 1.0, fifth edition, production 2), in the metadata of a PDF and in
/// a MIDI file, escaped as these ask.
pub fn legible(text: &str) -> Cow<'_, str> {
    if text.contains(is_illegible) {
        text.chars().map(replaced).collect::<String>().into()
    } else {
        text.into()
    }
}

/// The noncharacters are U+FDD0 to U+FDEF and the last two code points of every plane (The Unicode
/// Standard, 23.7).
fn is_illegible(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{2028}' | '\u{2029}' | '\u{fdd0}'..='\u{fdef}')
        || u32::from(c) & 0xfffe == 0xfffe
}

fn replaced(c: char) -> char {
    match c {
        '\t' | '\n' | '\r' | '\u{85}' | '\u{2028}' | '\u{2029}' => ' ',
        c if is_illegible(c) => char::REPLACEMENT_CHARACTER,
        c => c,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_be_read_is_replaced() {
        assert_eq!(legible("Lauda & <Gloria> ♭ \u{10fffd}"), "Lauda & <Gloria> ♭ \u{10fffd}");
        assert_eq!(legible("a\tb\r\nc\u{2028}d"), "a b  c d");
        let illegible = ['\0', '\u{1b}', '\u{7f}', '\u{9b}', '\u{fdd0}', '\u{fffe}', '\u{10ffff}'];
        for c in illegible {
            assert_eq!(legible(&format!("a{c}b")), "a\u{fffd}b", "{c:?}");
        }
    }
}
