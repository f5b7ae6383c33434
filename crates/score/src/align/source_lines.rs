//! The lines of a stacked source, which break together.

use notation::{Code, Diagnostic, ItemKind, Layout, Piece, Span};

use super::{name, sums};
use crate::reckon::{InSection, ReckonedVoice};

/// Reports voices that have fewer source lines than others, or no `/` or `//` after the last of them
/// where others have one, in a stacked source.
pub(super) fn count(piece: &Piece, voices: &[ReckonedVoice], diagnostics: &mut Vec<Diagnostic>) {
    if piece.head.layout != Layout::Stacked {
        return;
    }
    let lines: Vec<Lines> = voices.iter().map(|voice| Lines::of(piece, voice)).collect();
    let most = lines.iter().map(|lines| lines.count).max().unwrap_or(0);
    let end = lines.iter().find_map(|lines| lines.end);
    for (voice, lines) in voices.iter().zip(&lines) {
        let (name, span) = (name(piece, voice), piece.voices[voice.place].span);
        if lines.count < most {
            let has = lines.count;
            let plural = if has == 1 { "line" } else { "lines" };
            let message = format!("{name} has {has} {plural}, but other voices have {most}");
            diagnostics.push(
                Diagnostic::new(Code::SourceLinesDiffer, span, message)
                    .help("type / where a line of the source ends; or is a line left out?"),
            );
        } else if let (None, Some(end), Some(last)) = (lines.end, end, lines.last) {
            let message = format!("{name} has no {end} at its end, but other voices have");
            diagnostics.push(Diagnostic::new(Code::SourceLinesDiffer, last, message).help(
                format!("type {end} after this, the last of {name}, or leave it out in all voices"),
            ));
        }
    }
}

/// The source lines of a voice.
struct Lines {
    count: usize,
    /// What ends the last of them, `/` or `//`, if it is typed.
    end: Option<&'static str>,
    /// The last of its notes and rests, and of what stands between them.
    last: Option<Span>,
}

impl Lines {
    fn of(piece: &Piece, voice: &ReckonedVoice) -> Lines {
        let items = piece.voices[voice.place].items.iter();
        let printed = items.filter(|item| item.standing.is_printed());
        let mut lines = Lines { count: 0, end: None, last: None };
        let mut has_begun = false;
        for item in printed {
            match item.kind {
                ItemKind::LineEnd | ItemKind::PageEnd => {
                    lines.count += 1;
                    let is_line = matches!(item.kind, ItemKind::LineEnd);
                    lines.end = Some(if is_line { "/" } else { "//" });
                    has_begun = false;
                }
                ItemKind::Event(_) => {
                    lines.end = None;
                    lines.last = Some(item.span);
                    has_begun = true;
                }
                _ => {}
            }
        }
        lines.count += usize::from(has_begun);
        lines
    }
}

/// The first source line of a section after which the voices' sums stay apart, in a stacked
/// source. A note may overhang the end of a line, so sums that differ once and agree later do not
/// count.
pub(super) fn apart(
    piece: &Piece,
    voices: &[ReckonedVoice],
    number: usize,
) -> Option<(Span, String)> {
    if piece.head.layout != Layout::Stacked {
        return None;
    }
    let lines: Vec<(&str, &[(InSection, Span)])> = voices
        .iter()
        .map(|voice| (name(piece, voice), voice.sections[number].line_ends.as_slice()))
        .collect();
    let count = lines.iter().map(|(_, lines)| lines.len()).min()?;
    let sum = |line: usize| lines.iter().map(move |(name, lines)| (*name, lines[line].0));
    let agree = |line: usize| {
        let first = lines[0].1[line].0;
        sum(line).all(|(_, sum)| sum == first)
    };
    let line = (0..count).rev().find(|line| agree(*line)).map_or(0, |line| line + 1);
    if line == count {
        return None;
    }
    // The voice that differs from most of the others is the one to look at.
    let common = |time: InSection| sum(line).filter(|(_, sum)| *sum == time).count();
    let (_, odd) =
        lines.iter().min_by_key(|(_, lines)| common(lines[line].0)).map(|(n, l)| (n, l[line]))?;
    let label =
        format!("from source line {} on the sums stay apart: {}", line + 1, sums(sum(line)));
    Some((odd.1, label))
}
