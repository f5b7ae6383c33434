//! The canonical form: other spacing and spelling, the same meaning. Comments are kept.

mod lines;
mod print;
mod voice;

use std::fmt::Write as _;

use crate::lexer::{Token, TokenKind, tokens};
use crate::{
    Diagnostic, EditorsMark, Examples, Facsimile, Head, ItemKind, MarkShape, Piece, Span, examples,
    parser, words,
};
use lines::Lines;
pub use print::print;
use rudiments::Signature;
use voice::VoiceWriter;

/// What may be chosen about the form.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Spelling {
    /// Whether positions are turned into letters.
    pub letters: bool,
    /// Where octave digits are written.
    pub digits: Digits,
}

/// Where octave digits are written.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Digits {
    /// Where needed, and on the first note of a voice and of each source line: so a person finds
    /// the octave at every line's beginning, and a slip goes no further than the line.
    #[default]
    Canonical,
    /// Only where needed: as few keystrokes as can be.
    Needed,
    /// At every note and direct.
    Every,
}

/// The text in canonical form.
///
/// # Errors
/// A text with errors has no certain meaning to be kept: its diagnostics are given instead.
pub fn tidy(text: &str, spelling: Spelling) -> Result<String, Vec<Diagnostic>> {
    let read = examples(text);
    if read.has_errors() {
        return Err(read.diagnostics().cloned().collect());
    }
    let mut parts = Vec::with_capacity(read.examples.len() + 1);
    if !read.shared_tokens.is_empty() {
        let first = &read.examples[0];
        let (own, _) = parted(text, &read.shared_tokens, &first.tokens);
        let mut lines = Lines::default();
        write_head(text, &first.piece, own, &mut lines);
        parts.push(lines.finish().trim_end().to_owned() + "\n");
    }
    parts.extend((0..read.examples.len()).map(|place| part(text, &read, place, spelling)));
    Ok(parts.join("\n"))
}

/// The text with one of its examples in canonical form, and all else as it is.
///
/// # Errors
/// If the example has errors, or what holds for all; nothing is given where there is no example of
/// that name.
pub fn tidy_example(
    text: &str,
    name: &str,
    spelling: Spelling,
) -> Result<Option<String>, Vec<Diagnostic>> {
    let read = examples(text);
    let Some(place) = read.examples.iter().position(|parsed| parsed.name() == Some(name)) else {
        return Ok(None);
    };
    let found = || read.shared.iter().chain(&read.examples[place].diagnostics);
    if found().any(Diagnostic::is_error) {
        return Err(found().cloned().collect());
    }
    let begin = |place: usize| {
        let first = read.examples.get(place)?.tokens.first()?;
        Some(above(text, first.span.start).0 as usize)
    };
    let mut tidied = part(text, &read, place, spelling);
    let start = begin(place).unwrap_or_default();
    let end = begin(place + 1).unwrap_or(text.len());
    if end < text.len() {
        tidied.push('\n');
    }
    Ok(Some([&text[..start], &tidied, &text[end..]].concat()))
}

/// An example in canonical form, with the comments that stand right above it.
fn part(text: &str, read: &Examples, place: usize, spelling: Spelling) -> String {
    let parsed = &read.examples[place];
    let before = match place.checked_sub(1) {
        Some(before) => &read.examples[before].tokens,
        None => &read.shared_tokens,
    };
    let next = read.examples.get(place + 1).map_or(&[] as &[Token], |next| &next.tokens);
    let mut lines = Lines::default();
    for comment in parted(text, before, &parsed.tokens).1 {
        lines.comment(comment.span.of(text), true);
    }
    let (own, _) = parted(text, &parsed.tokens, next);
    let voices_begin = own.iter().position(|token| is_opening(text, token));
    let (head, body) = own.split_at(voices_begin.unwrap_or(own.len()));
    write_head(text, &parsed.piece, head, &mut lines);
    write_voices(text, &parsed.piece, body, spelling, &mut lines);
    lines.finish()
}

/// The tokens of an example, without the comments that stand right above the next one, and these.
fn parted<'t>(text: &str, tokens: &'t [Token], next: &[Token]) -> (&'t [Token], &'t [Token]) {
    let Some(next) = next.first() else { return (tokens, &[]) };
    let (start, _) = above(text, next.span.start);
    tokens.split_at(tokens.partition_point(|token| token.span.start < start))
}

fn is_opening(text: &str, token: &Token) -> bool {
    token.kind == TokenKind::Word && matches!(token.span.of(text), "voice" | "more")
}

/// Each item of the head on its line, its first word set off, and then a blank line.
fn write_head(text: &str, piece: &Piece, head: &[Token], lines: &mut Lines) {
    let mut rest = head;
    while let Some(first) = rest.first() {
        let length =
            rest.iter().skip(1).position(|token| token.first_on_line).map_or(rest.len(), |p| p + 1);
        let (line, after) = rest.split_at(length);
        rest = after;
        if first.kind == TokenKind::Comment {
            lines.comment(first.span.of(text), true);
            continue;
        }
        let item = first.span.of(text);
        let said = whole(piece, item, first.span).unwrap_or_else(|| {
            let tokens = line[1..].iter().filter(|token| token.kind != TokenKind::Comment);
            let words = tokens.map(|token| argument(item, token.span.of(text)));
            words.collect::<Vec<_>>().join(" ")
        });
        lines.line(&format!("{item:<7} {said}"));
        for token in line.iter().filter(|token| token.kind == TokenKind::Comment) {
            lines.comment(token.span.of(text), false);
        }
    }
    // An example of nothing but voices stays close together.
    let only_opened = head.first().is_some_and(|first| first.span.of(text) == parser::OPENING)
        && head[1..].iter().all(|token| !token.first_on_line);
    if !head.is_empty() && !only_opened {
        lines.blank();
    }
}

/// What follows the first word of an item whose arguments have an order, in its one spelling.
fn whole(piece: &Piece, item: &str, first: Span) -> Option<String> {
    let Head { marks, facsimiles, .. } = &piece.head;
    let name = |voice: usize| piece.voices[voice].name.as_str();
    match item {
        "mark" => {
            let place = marks.binary_search_by_key(&first.start, |mark| mark.span.start).ok()?;
            Some(mark(name(marks[place].voice), &marks[place]))
        }
        "facsimile" => {
            let start = |facsimile: &Facsimile| facsimile.span.start;
            let place = facsimiles.binary_search_by_key(&first.start, start).ok()?;
            Some(facsimile(facsimiles[place].voice.map_or("*", name), &facsimiles[place]))
        }
        _ => None,
    }
}

fn mark(voice: &str, mark: &EditorsMark) -> String {
    let EditorsMark { first, last, shape, color, words, .. } = mark;
    let mut said = format!("{voice} {first}-{last}");
    if *shape != MarkShape::default() {
        let _ = write!(said, " {shape}");
    }
    if let Some(color) = color {
        let _ = write!(said, " {color}");
    }
    if !words.is_empty() {
        let _ = write!(said, " \"{words}\"");
    }
    said
}

/// The whole item.
pub(crate) fn facsimile_item(voice: &str, one: &Facsimile) -> String {
    format!("facsimile {}", facsimile(voice, one))
}

fn facsimile(voice: &str, facsimile: &Facsimile) -> String {
    let Facsimile { line, file, page, x, y, width, height, angle, .. } = &facsimile.rounded();
    // What is no single word stands in quotes.
    let file = match tokens(file).as_slice() {
        [Token { kind: TokenKind::Word, span, .. }] if span.of(file) == file => file.to_owned(),
        _ => format!("\"{file}\""),
    };
    format!("{voice} {line} {file} {page} {x} {y} {width} {height} {angle}")
}

/// The argument of a head item in its one spelling.
fn argument(item: &str, word: &str) -> String {
    let respelled = match item {
        "signature" => Signature::parse(word).map(|signature| signature.to_string()),
        "break" | "page" => word.parse().ok().map(|bar: u32| bar.to_string()),
        "subject" | "hand" => words::events(word).map(|(first, last)| format!("{first}-{last}")),
        _ => None,
    };
    respelled.unwrap_or_else(|| word.to_owned())
}

/// The blocks of the voices in the order of the text, so that a page that was keyed system by
/// system stays so.
fn write_voices(text: &str, piece: &Piece, body: &[Token], spelling: Spelling, lines: &mut Lines) {
    let mut comments = body.iter().filter(|token| token.kind == TokenKind::Comment).peekable();
    let free_completing = !piece.may_have_perfect_values();
    let writer = |voice| VoiceWriter::new(piece, voice, spelling, free_completing);
    let mut writers: Vec<VoiceWriter<'_>> = piece.voices.iter().map(writer).collect();
    let mut blocks: Vec<(u32, usize)> = Vec::new();
    for (place, voice) in piece.voices.iter().enumerate() {
        blocks.push((voice.span.start, place));
        let more = voice.items.iter().filter(|item| item.kind == ItemKind::More);
        blocks.extend(more.map(|item| (item.span.start, place)));
    }
    blocks.sort_unstable();
    let mut before = |place: u32, lines: &mut Lines| {
        while let Some(comment) = comments.next_if(|comment| comment.span.start < place) {
            lines.comment(comment.span.of(text), comment.first_on_line);
        }
    };
    for (start, place) in blocks {
        let (above, blank) = above(text, start);
        before(above, lines);
        if blank {
            lines.blank();
        }
        before(start, lines);
        writers[place].block(lines, &mut before);
    }
    before(u32::MAX, lines);
}

/// Where the lines with nothing but a comment begin that stand above the opening of a voice, and
/// whether there is a blank line above them: so whoever keys a page parts its systems.
fn above(text: &str, opening: u32) -> (u32, bool) {
    let line_start = |place: usize| text[..place].rfind('\n').map_or(0, |end| end + 1);
    let mut start = line_start(opening as usize);
    while start > 0 {
        let before = line_start(start - 1);
        let line = text[before..start].trim();
        if !line.starts_with(';') {
            return (start as u32, line.is_empty());
        }
        start = before;
    }
    (0, false)
}

#[cfg(test)]
mod tests;
