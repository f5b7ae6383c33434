//! HTML: text is escaped here and nowhere else.

use std::fmt;

/// Text in HTML, in an element or in an attribute.
pub(super) struct Escaped<'t>(pub(super) &'t str);

impl fmt::Display for Escaped<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for character in self.0.chars() {
            match character {
                '&' => f.write_str("&amp;")?,
                '<' => f.write_str("&lt;")?,
                '>' => f.write_str("&gt;")?,
                '"' => f.write_str("&quot;")?,
                '\'' => f.write_str("&#39;")?,
                // What HTML has no place for.
                c if c.is_control() && c != '\n' && c != '\t' => f.write_str("\u{fffd}")?,
                c => write!(f, "{c}")?,
            }
        }
        Ok(())
    }
}

/// Data in a script element: nothing in it can end the element.
pub(super) fn data(value: &serde_json::Value) -> String {
    value
        .to_string()
        .replace('<', "\\u003c")
        .replace('\u{2028}', "\\u2028")
        .replace('\u{2029}', "\\u2029")
}

/// A name as part of an address: all but letters, figures and a few signs by their bytes.
pub(super) fn address(name: &str) -> String {
    let mut address = String::new();
    for byte in name.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'_' | b'.' | b'/' | b'#' => {
                address.push(char::from(byte));
            }
            other => address.push_str(&format!("%{other:02X}")),
        }
    }
    address
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_gets_out_of_its_place() {
        let text = "<script>&\"'\u{1b}";
        assert_eq!(Escaped(text).to_string(), "&lt;script&gt;&amp;&quot;&#39;\u{fffd}");
        let value = serde_json::json!({ "text": "</script><!--" });
        assert!(!data(&value).contains('<'));
        assert_eq!(address("über fugen.html#a"), "%C3%BCber%20fugen.html#a");
    }
}
