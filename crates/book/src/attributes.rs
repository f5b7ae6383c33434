//! Attributes in braces: `{staves=open bars=5-8 permission="By leave of the library"}`.

/// What stands in braces behind a picture, a link or a heading.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(crate) struct Attributes(Vec<(String, String)>);

impl Attributes {
    /// The attributes at the beginning of a text, which opens with a brace, and how many bytes they take. Nothing
    /// where the braces do not close on the line, or hold something else.
    pub(crate) fn read(text: &str) -> Option<(Attributes, usize)> {
        let inside = text.strip_prefix('{')?;
        let (mut all, mut word, mut quoted) = (Vec::new(), String::new(), false);
        for (place, character) in inside.char_indices() {
            match character {
                '"' => quoted = !quoted,
                '\n' => return None,
                '}' | ' ' | '\t' if !quoted => {
                    if !word.is_empty() {
                        let word = std::mem::take(&mut word);
                        let (name, value) = word.split_once('=').unwrap_or((&word, ""));
                        all.push((name.to_owned(), value.to_owned()));
                    }
                    if character == '}' {
                        return Some((Attributes(all), place + 2));
                    }
                }
                other => word.push(other),
            }
        }
        None
    }

    /// The value of an attribute; empty where it stands alone.
    pub(crate) fn get(&self, name: &str) -> Option<&str> {
        self.0.iter().find(|(other, _)| other == name).map(|(_, value)| value.as_str())
    }

    /// All of them, as typed.
    pub(crate) fn iter(&self) -> impl Iterator<Item = (&str, &str)> {
        self.0.iter().map(|(name, value)| (name.as_str(), value.as_str()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_stand_alone_or_have_a_value() {
        let (read, length) = Attributes::read("{staves=open report note=\"a b\"} and on").unwrap();
        assert_eq!(length, "{staves=open report note=\"a b\"}".len());
        assert_eq!(read.get("staves"), Some("open"));
        assert_eq!(read.get("report"), Some(""));
        assert_eq!(read.get("note"), Some("a b"));
        assert_eq!(read.get("bars"), None);
    }

    #[test]
    fn other_braces_are_text() {
        for text in ["", "staves", "{staves=open", "{staves=open\n}", "{a=\"b}"] {
            assert_eq!(Attributes::read(text), None, "{text}");
        }
        assert_eq!(Attributes::read("{}"), Some((Attributes::default(), 2)));
    }
}
