//! Drawings in a page: the drawing of each sign stands once, however many examples have it.

use std::collections::BTreeMap;

/// The drawings of signs that a page refers to, by their ids.
#[derive(Default)]
pub(super) struct Drawings(BTreeMap<String, String>);

impl Drawings {
    /// Takes the definitions out of an SVG file, which a page then has in common. What it shows is said in words.
    ///
    /// The files are those of the engraver: their ids say what is drawn and how large, so that one id is one drawing, and each
    /// definition fills a line.
    pub(super) fn take(&mut self, svg: &str, words: &str) -> String {
        let Some((before, rest)) = svg.split_once("<defs>\n") else { return svg.to_owned() };
        let Some((definitions, after)) = rest.split_once("</defs>\n") else {
            return svg.to_owned();
        };
        for line in definitions.lines() {
            let id = line.split_once("id=\"").and_then(|(_, rest)| rest.split_once('"'));
            if let Some((id, _)) = id {
                self.0.entry(id.to_owned()).or_insert_with(|| line.to_owned());
            }
        }
        let label = super::html::Escaped(words).to_string();
        // A title would be shown by the browser wherever the pointer rests.
        let before = without(&without(before, "title"), "desc");
        format!(
            "{}{after}",
            before.replacen("role=\"img\"", &format!("role=\"img\" aria-label=\"{label}\""), 1)
        )
    }

    /// All of them, as an element that is not seen.
    pub(super) fn written(&self) -> String {
        let lines: String = self.0.values().map(|line| format!("{line}\n")).collect();
        format!("<svg class=\"drawings\" aria-hidden=\"true\"><defs>\n{lines}</defs></svg>\n")
    }
}

/// A text without the first element of that name.
fn without(text: &str, name: &str) -> String {
    let (open, close) = (format!("<{name}>"), format!("</{name}>\n"));
    match (text.find(&open), text.find(&close)) {
        (Some(from), Some(to)) if from < to => {
            format!("{}{}", &text[..from], &text[to + close.len()..])
        }
        _ => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drawing_that_two_have_stands_once() {
        let svg = |id: &str| {
            format!(
                "<svg role=\"img\">\n<title>a &amp; b</title>\n<defs>\n<path id=\"h1\" d=\"\"/>\n<path id=\"{id}\" d=\"\"/>\n</defs>\n<use href=\"#h1\"/></svg>\n"
            )
        };
        let mut drawings = Drawings::default();
        let taken = drawings.take(&svg("h2"), "a \"duo\"");
        assert_eq!(
            taken,
            "<svg role=\"img\" aria-label=\"a &quot;duo&quot;\">\n<use href=\"#h1\"/></svg>\n"
        );
        drawings.take(&svg("h4"), "");
        let written = drawings.written();
        assert_eq!(written.matches("id=\"h1\"").count(), 1);
        assert_eq!(written.matches("<path").count(), 3);
    }
}
