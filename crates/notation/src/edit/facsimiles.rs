//! Where lines stand in pictures, typed into the head.

use super::{Edit, apply};
use crate::tidy::facsimile_item;
use crate::{Facsimile, Parsed, Span, examples};

/// The edits that say in the head where lines of the source stand: an item that is there for a line is
/// retyped, the others follow the last of their kind, or the rest of the head. The boxes' spans are not
/// looked at.
///
/// Nothing where the text with them would not be read as just that: two boxes for one line, a voice
/// that is not written out, a name of a file that cannot be typed, a number that is too large. Numbers
/// have three digits after the point.
///
/// ```
/// use notation::{Facsimile, Span, apply, parse, with_facsimiles};
///
/// let text = "title A duo\n\nvoice Cantus clef C1\n  sb A4 B\n";
/// let first = Facsimile {
///     voice: Some(0),
///     line: 1,
///     file: "cantus.png".to_owned(),
///     page: 1,
///     x: 120.0,
///     y: 340.5,
///     width: 1800.0,
///     height: 150.0,
///     angle: -0.5,
///     span: Span::new(0, 0),
/// };
/// let edits = with_facsimiles(text, &parse(text), &[first]).unwrap();
/// assert_eq!(
///     apply(text, &edits),
///     "title A duo\nfacsimile Cantus 1 cantus.png 1 120 340.5 1800 150 -0.5\n\n\
///      voice Cantus clef C1\n  sb A4 B\n"
/// );
/// ```
pub fn with_facsimiles(text: &str, parsed: &Parsed, boxes: &[Facsimile]) -> Option<Vec<Edit>> {
    let head = &parsed.piece.head;
    let rounded: Vec<Facsimile> = boxes.iter().map(Facsimile::rounded).collect();
    let item = |one: &Facsimile| {
        let voice =
            one.voice.map(|voice| parsed.piece.voices.get(voice).map(|of| of.name.as_str()));
        Some(facsimile_item(voice.unwrap_or(Some("*"))?, one))
    };
    let line_end = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let (mut edits, mut added) = (Vec::new(), String::new());
    for one in &rounded {
        let is_it = |other: &&Facsimile| (other.voice, other.line) == (one.voice, one.line);
        match head.facsimiles.iter().find(is_it) {
            Some(there) => edits.push(Edit::new(there.span, item(one)?)),
            None => added.push_str(&(item(one)? + line_end)),
        }
    }
    if !added.is_empty() {
        let (at, is_apart) = place(text, parsed);
        if !is_apart {
            added.push_str(line_end);
        }
        edits.push(Edit::new(Span::new(at, at), added));
    }
    edits.sort_by_key(|edit| edit.span);
    is_read_so(&apply(text, &edits), parsed, &rounded).then_some(edits)
}

/// Where new items go, at the beginning of a line, and whether something parts them from the first voice.
fn place(text: &str, parsed: &Parsed) -> (usize, bool) {
    let start = parsed.tokens.first().map_or(0, |token| token.span.range().start);
    let voice = parsed.piece.voices.first().map_or(text.len(), |voice| voice.span.range().start);
    let line = |at: usize| text[..at].rfind('\n').map_or(0, |end| end + 1);
    let mut ends = parsed.piece.head.facsimiles.iter().rev().map(|one| one.span.range());
    if let Some(last) = ends.find(|last| last.start >= start)
        && let Some(end) = text[last.end..].find('\n')
    {
        return (last.end + end + 1, true);
    }
    let first = line(voice);
    let mut at = first;
    while at > start && text[line(at - 1)..at].trim().is_empty() {
        at = line(at - 1);
    }
    (at, at < first)
}

/// Whether a text has these boxes beside those that were there, and is else what it was.
fn is_read_so(text: &str, parsed: &Parsed, boxes: &[Facsimile]) -> bool {
    let read = examples(text);
    let Some(read) = read.examples.iter().find(|one| one.name() == parsed.name()) else {
        return false;
    };
    let same = |one: &Facsimile, other: &Facsimile| {
        Facsimile { span: other.span, ..one.clone() } == *other
    };
    let found = &read.piece.head.facsimiles;
    let before = &parsed.piece.head.facsimiles;
    let is_new = |one: &&Facsimile| {
        !before.iter().any(|other| (other.voice, other.line) == (one.voice, one.line))
    };
    let errors = |parsed: &Parsed| parsed.diagnostics.iter().filter(|one| one.is_error()).count();
    boxes.iter().all(|one| found.iter().any(|other| same(one, other)))
        && found.len() == before.len() + boxes.iter().filter(is_new).count()
        && read.piece.voices.len() == parsed.piece.voices.len()
        && errors(read) <= errors(parsed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parse;

    fn one(voice: Option<usize>, line: u32, file: &str) -> Facsimile {
        Facsimile {
            voice,
            line,
            file: file.to_owned(),
            page: 1,
            x: 1.0,
            y: 2.0,
            width: 30.0,
            height: 4.0,
            angle: 0.0,
            span: Span::new(0, 0),
        }
    }

    #[track_caller]
    fn typed(text: &str, boxes: &[Facsimile]) -> String {
        let edits = with_facsimiles(text, &parse(text), boxes);
        edits.map_or("refused".to_owned(), |edits| apply(text, &edits))
    }

    const VOICE: &str = "voice Cantus clef C1\n  sb A4 B /\n  C5\n";

    #[test]
    fn a_head_gets_items_at_its_end() {
        let item = "facsimile Cantus 1 a.png 1 1 2 30 4 0\n";
        let boxes = [one(Some(0), 1, "a.png")];
        for (before, after) in [
            ("", format!("{item}\n")),
            ("title A\n", format!("title A\n{item}\n")),
            ("title A\n\n", format!("title A\n{item}\n")),
            ("; a comment\n", format!("; a comment\n{item}\n")),
            ("\n\n", format!("\n\n{item}\n")),
        ] {
            assert_eq!(typed(&format!("{before}{VOICE}"), &boxes), format!("{after}{VOICE}"));
        }
    }

    /// Those that are there are retyped, and the rest follows them.
    #[test]
    fn a_line_keeps_its_item() {
        let old = "facsimile Cantus 1 old.png 1 9 9 9 9 9 ; seen\ntitle A\n\n";
        let boxes = [one(Some(0), 1, "a b.png"), one(Some(0), 2, "c.png"), one(None, 1, "d.png")];
        let expected = "facsimile Cantus 1 \"a b.png\" 1 1 2 30 4 0 ; seen\n\
                        facsimile Cantus 2 c.png 1 1 2 30 4 0\n\
                        facsimile * 1 d.png 1 1 2 30 4 0\ntitle A\n\n";
        assert_eq!(typed(&format!("{old}{VOICE}"), &boxes), format!("{expected}{VOICE}"));
    }

    #[test]
    fn what_would_be_read_otherwise_is_refused() {
        let twice = [one(Some(0), 1, "a.png"), one(Some(0), 1, "b.png")];
        assert_eq!(typed(VOICE, &twice), "refused");
        assert_eq!(typed(VOICE, &[one(Some(0), 1, "a\"b.png")]), "refused");
        assert_eq!(typed(VOICE, &[one(Some(7), 1, "a.png")]), "refused");
        assert_eq!(typed(VOICE, &[Facsimile { x: -1.0, ..one(Some(0), 1, "a.png") }]), "refused");
    }

    /// Each example has its own.
    #[test]
    fn an_example_is_another_piece() {
        let text = format!("example 1\n{VOICE}\nexample 2\ntitle B\n{VOICE}");
        let read = examples(&text);
        let edits = with_facsimiles(&text, &read.examples[1], &[one(Some(0), 1, "a.png")]).unwrap();
        let item = "title B\nfacsimile Cantus 1 a.png 1 1 2 30 4 0\n\n";
        assert_eq!(apply(&text, &edits), text.replace("title B\n", item));
    }

    #[test]
    fn lines_end_as_in_the_text() {
        let text = VOICE.replace('\n', "\r\n");
        let expected = format!("facsimile Cantus 1 a.png 1 1 2 30 4 0\r\n\r\n{text}");
        assert_eq!(typed(&text, &[one(Some(0), 1, "a.png")]), expected);
    }
}
