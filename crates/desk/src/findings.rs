//! What is wrong or doubtful, at its place and with what mends it.

use cartella::{Code, Diagnostic, Document, Example, Piece, Span, Tone, Undecided};

use crate::message::{Choice, Edit, Finding, Severity};
use crate::places::Places;

/// What is found in an example, in the order of the text, with what holds for all examples.
pub(crate) fn findings<'f>(
    example: Example<'_>,
    places: &Places,
    found: impl Iterator<Item = &'f Diagnostic>,
) -> Vec<Finding> {
    let (document, piece) = (example.document(), example.piece());
    let mut findings = Vec::new();
    for found in found {
        let letters = letters(piece, found);
        if letters.is_empty() {
            findings.push(finding(found, document, places));
        }
        for letter in letters {
            findings.push(of_letter(found, letter, document, places));
        }
    }
    findings.sort_by_key(|found| (found.start, found.code));
    findings
}

fn finding(found: &Diagnostic, document: &Document, places: &Places) -> Finding {
    let (line, column) = document.place(found.span);
    Finding {
        code: found.code.number(),
        severity: if found.is_error() { Severity::Error } else { Severity::Warning },
        message: found.message.clone(),
        help: found.help.clone(),
        start: found.span.start,
        end: found.span.end,
        line,
        column,
        voice: places.voice_at(found.span.start),
        fix: found.fix.as_ref().map(|fix| choice(said(document, fix), fix)),
        choices: Vec::new(),
    }
}

/// What a fix does, in a few words.
fn said(document: &Document, fix: &cartella::Edit) -> String {
    let (before, after) = (fix.span.of(document.text()).trim(), fix.text.trim());
    match (before.is_empty(), after.is_empty()) {
        (_, true) => format!("leave out {before}"),
        (true, _) => format!("add {after}"),
        _ => format!("{before} \u{2192} {after}"),
    }
}

fn choice(label: String, edit: &cartella::Edit) -> Choice {
    let Span { start, end } = edit.span;
    Choice { label, edits: vec![Edit { start, end, text: edit.text.clone() }] }
}

/// The letters whose octave a diagnostic asks for; none where it asks for another clef instead.
fn letters<'p>(piece: &'p Piece, found: &Diagnostic) -> Vec<&'p Undecided> {
    if found.code != Code::OctaveUndecided {
        return Vec::new();
    }
    let is_asked = |letter: &&Undecided| {
        let doubtful = piece.doubtful_clefs.iter().any(|clef| clef.voice == letter.voice);
        !doubtful && found.spans().any(|span| span == letter.span)
    };
    piece.undecided.iter().filter(is_asked).collect()
}

/// One of several letters whose octave is asked for together: each is chosen at its place.
fn of_letter(
    found: &Diagnostic,
    letter: &Undecided,
    document: &Document,
    places: &Places,
) -> Finding {
    let related = found.related.iter().find(|(span, _)| *span == letter.span);
    let help = related.map(|(_, label)| label.clone()).or_else(|| found.help.clone());
    let octave = |tone: Tone| {
        let at = Span { start: letter.at, end: letter.at };
        choice(tone.to_string(), &cartella::Edit::new(at, tone.octave.to_string()))
    };
    Finding {
        message: format!("{} has two places on this staff", letter.low.step),
        help,
        choices: vec![octave(letter.high), octave(letter.low)],
        ..finding(&Diagnostic { span: letter.span, ..found.clone() }, document, places)
    }
}
