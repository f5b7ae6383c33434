//! The canonical form: other spacing and spelling, the same meaning. Comments are kept.

mod lines;
mod voice;
mod word;

use std::fmt::Write as _;

use crate::lexer::{Token, TokenKind, tokens};
use crate::{
    Diagnostic, EditorsMark, Facsimile, Head, ItemKind, MarkShape, Parsed, Piece, Span, parse,
    words,
};
use lines::Lines;
use rudiments::Signature;
use voice::VoiceWriter;
pub use word::word;

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
}

/// The text in canonical form.
///
/// # Errors
/// A text with errors has no certain meaning to be kept: its diagnostics are given instead.
pub fn tidy(text: &str, spelling: Spelling) -> Result<String, Vec<Diagnostic>> {
    let parsed = parse(text);
    if parsed.has_errors() {
        return Err(parsed.diagnostics);
    }
    let Parsed { piece, tokens, .. } = parsed;
    let voices_begin = tokens.iter().position(|token| is_opening(text, token));
    let (head, body) = tokens.split_at(voices_begin.unwrap_or(tokens.len()));
    let mut lines = Lines::default();
    write_head(text, &piece, head, &mut lines);
    write_voices(text, &piece, body, spelling, &mut lines);
    Ok(lines.finish())
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
    if !head.is_empty() {
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

fn facsimile(voice: &str, facsimile: &Facsimile) -> String {
    let Facsimile { line, file, page, x, y, width, height, angle, .. } = facsimile;
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
        "subject" => words::events(word).map(|(first, last)| format!("{first}-{last}")),
        _ => None,
    };
    respelled.unwrap_or_else(|| word.to_owned())
}

/// The blocks of the voices in the order of the text, so that a page that was keyed system by
/// system stays so.
fn write_voices(text: &str, piece: &Piece, body: &[Token], spelling: Spelling, lines: &mut Lines) {
    let mut comments = body.iter().filter(|token| token.kind == TokenKind::Comment).peekable();
    let mut writers: Vec<VoiceWriter<'_>> =
        piece.voices.iter().map(|voice| VoiceWriter::new(piece, voice, spelling)).collect();
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
