//! Diagnostics for people and for programs.

use std::borrow::Cow;

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use cartella::{Code, Diagnostic, Document, Severity, Span};
use serde::Serialize;

use crate::printed::{Printed, escaped, in_line};

/// So many diagnostics of a file are shown to a person; a program gets all of them.
const MOST_SHOWN: usize = 100;

/// So many places of one diagnostic are listed for a person.
const MOST_LISTED: usize = 40;

/// The file that diagnostics are about.
pub(crate) struct Source<'s> {
    pub(crate) name: &'s str,
    pub(crate) document: &'s Document,
}

impl Source<'_> {
    /// All diagnostics, with the lines that they are about.
    pub(crate) fn render(&self, diagnostics: &[Diagnostic], colors: bool) -> Printed {
        let renderer = if colors { Renderer::styled() } else { Renderer::plain() };
        let renderer = renderer.decor_style(DecorStyle::Ascii);
        let mut shown = String::new();
        for diagnostic in diagnostics.iter().take(MOST_SHOWN) {
            shown.push_str(&renderer.render(&[self.group(diagnostic)]));
            shown.push_str("\n\n");
        }
        if diagnostics.len() > MOST_SHOWN {
            let more = diagnostics.len() - MOST_SHOWN;
            shown.push_str(&format!("and {more} more; --format json lists all\n\n"));
        }
        // All that came from the file is escaped before it is coloured.
        Printed::as_it_is(shown)
    }

    fn group<'d>(&'d self, diagnostic: &'d Diagnostic) -> Group<'d> {
        let level = match diagnostic.code.severity() {
            Severity::Error => Level::ERROR,
            Severity::Warning => Level::WARNING,
        };
        let title = level.primary_title(in_line(&diagnostic.message)).id(diagnostic.code.number());
        let mut group = Group::with_title(title);
        let lines = self.document.lines();
        let primary = lines.line(diagnostic.span.start);
        let mut snippet = self
            .snippet(primary)
            .annotation(AnnotationKind::Primary.span(self.within(primary, diagnostic.span)));
        let is_list = diagnostic.code == Code::OctaveUndecided;
        let shown = if is_list { &[][..] } else { &diagnostic.related };
        let mut last = primary;
        for (span, label) in shown {
            let line = lines.line(span.start);
            if line != last {
                group = group.element(snippet);
                snippet = self.snippet(line);
                last = line;
            }
            let annotation = AnnotationKind::Context.span(self.within(line, *span));
            snippet = snippet.annotation(annotation.label(in_line(label)));
        }
        group = group.element(snippet);
        if is_list {
            for (span, label) in diagnostic.related.iter().take(MOST_LISTED) {
                let (line, column) = self.place(*span);
                let word = span.of(self.document.text());
                let place = format!("line {line}, column {column}: {word} is {label}");
                group = group.element(Level::NOTE.message(in_line(&place).into_owned()));
            }
            if let Some(more) = diagnostic.related.len().checked_sub(MOST_LISTED + 1) {
                let more = format!("and {} more; --format json lists all", more + 1);
                group = group.element(Level::NOTE.message(more));
            }
        }
        if let Some(help) = &diagnostic.help {
            group = group.element(Level::HELP.message(in_line(help)));
        }
        group
    }

    /// One line of the text.
    fn snippet<T: Clone>(&self, line: u32) -> Snippet<'_, T> {
        Snippet::source(escaped(self.line(line).of(self.document.text())))
            .path(self.name)
            .line_start(line as usize)
    }

    /// The part of a span that lies in a line, in bytes from its beginning as it is shown.
    fn within(&self, line: u32, span: Span) -> std::ops::Range<usize> {
        let line = self.line(line);
        let place = |byte: u32| {
            let before = Span { start: line.start, end: byte.clamp(line.start, line.end) };
            escaped(before.of(self.document.text())).len()
        };
        place(span.start)..place(span.end)
    }

    /// The bytes of a line.
    fn line(&self, line: u32) -> Span {
        self.document.lines().span_of_line(self.document.text(), line)
    }

    /// All diagnostics, for JSON.
    pub(crate) fn listed<'d>(&self, diagnostics: &'d [Diagnostic]) -> Vec<Listed<'d>> {
        diagnostics
            .iter()
            .map(|diagnostic| {
                let ((line, column), (end_line, end_column)) =
                    self.place_of_both_ends(diagnostic.span);
                Listed {
                    code: diagnostic.code.number(),
                    severity: match diagnostic.code.severity() {
                        Severity::Error => "error",
                        Severity::Warning => "warning",
                    },
                    line,
                    column,
                    end_line,
                    end_column,
                    message: &diagnostic.message,
                    help: diagnostic.help.as_deref(),
                    related: diagnostic
                        .related
                        .iter()
                        .map(|(span, text)| self.related(*span, text))
                        .collect(),
                    fixable: diagnostic.fix.is_some(),
                }
            })
            .collect()
    }

    fn related<'d>(&self, span: Span, text: &'d str) -> Related<'d> {
        let ((line, column), (end_line, end_column)) = self.place_of_both_ends(span);
        Related { line, column, end_line, end_column, text }
    }

    /// The lines and columns where a span begins and where it ends.
    pub(crate) fn place_of_both_ends(&self, span: Span) -> ((u32, u32), (u32, u32)) {
        (self.place(span), self.place(Span { start: span.end, ..span }))
    }

    /// The line and column of a span.
    pub(crate) fn place(&self, span: Span) -> (u32, u32) {
        self.document.place(span)
    }
}

/// A diagnostic in JSON; lines and columns count from 1.
#[derive(Serialize)]
pub(crate) struct Listed<'d> {
    code: &'static str,
    severity: &'static str,
    line: u32,
    column: u32,
    end_line: u32,
    end_column: u32,
    message: &'d str,
    #[serde(skip_serializing_if = "Option::is_none")]
    help: Option<&'d str>,
    fixable: bool,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    related: Vec<Related<'d>>,
}

/// Another place that belongs to a diagnostic, and what is said of it.
#[derive(Serialize)]
pub(crate) struct Related<'d> {
    line: u32,
    column: u32,
    end_line: u32,
    end_column: u32,
    text: &'d str,
}

/// What is wrong rather than doubtful.
pub(crate) fn errors(diagnostics: &[Diagnostic]) -> Vec<Diagnostic> {
    diagnostics.iter().filter(|found| found.is_error()).cloned().collect()
}

/// `2 errors, 1 warning`, or nothing where there are none.
pub(crate) fn count(diagnostics: &[Diagnostic]) -> Option<String> {
    let errors = diagnostics.iter().filter(|diagnostic| diagnostic.is_error()).count();
    let warnings = diagnostics.len() - errors;
    let kinds = [(errors, "error"), (warnings, "warning")];
    let there = kinds.into_iter().filter(|(count, _)| *count > 0);
    let counts: Vec<String> = there.map(|(count, what)| counted(count, what)).collect();
    (!counts.is_empty()).then(|| counts.join(", "))
}

/// `1 voice`, `2 voices`.
pub(crate) fn counted(count: usize, what: &str) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}

/// With what the answer about an example begins.
#[derive(Serialize)]
pub(crate) struct Head<'s> {
    version: u32,
    /// Where several files are answered.
    #[serde(skip_serializing_if = "Option::is_none")]
    file: Option<Cow<'s, str>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    example: Option<&'s str>,
}

impl<'s> Head<'s> {
    /// About an example, by its name, if it has one; and about its file, if there are several.
    pub(crate) fn new(file: Option<Cow<'s, str>>, example: Option<&'s str>) -> Head<'s> {
        Head { version: 1, file, example }
    }
}

/// An answer as JSON, on a line of its own.
pub(crate) fn json<T: Serialize>(answer: &T) -> Printed {
    part(answer) + Printed::as_it_is("\n")
}

/// A part of an answer as JSON.
pub(crate) fn part<T: Serialize>(part: &T) -> Printed {
    // Plain structures of strings and numbers are always serializable.
    Printed::as_it_is(serde_json::to_string(part).unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_caret_stands_under_the_word_though_escapes_stand_before_it() {
        let text = "voice A clef C1\n sb D4 \u{1b}\u{7}\t]\n";
        let document = &Document::parse(text);
        let mut closing = document.diagnostics().to_vec();
        closing.retain(|found| found.message.contains("[ ]"));
        let shown = Source { name: "a", document }.render(&closing, false);
        let shown = std::str::from_utf8(shown.as_bytes()).unwrap();
        let lines: Vec<&str> = shown.lines().collect();
        let line = lines.iter().position(|line| line.contains("sb D4")).unwrap();
        assert_eq!(lines[line], "2 |  sb D4 \\u{1b}\\u{7}    ]");
        assert_eq!(lines[line].find(']'), lines[line + 1].find('^'));
    }
    /// Labels in another line, and then again in the line of the error.
    #[test]
    fn labels_may_go_from_line_to_line_and_back() {
        let text = "sb D4 E F G A B C5\nmn A4\n";
        let document = &Document::parse(text);
        let at = |start, end| Span { start, end };
        let related = [(at(19, 21), "there"), (at(15, 17), "here"), (at(12, 13), "and here")];
        let found = Diagnostic {
            related: related.map(|(span, label)| (span, label.to_owned())).to_vec(),
            ..document.diagnostics()[0].clone()
        };
        let shown = Source { name: "a", document }.render(&[found], false);
        let shown = std::str::from_utf8(shown.as_bytes()).unwrap();
        assert!(["there", "here", "and here"].iter().all(|label| shown.contains(label)), "{shown}");
    }
}
