//! The lines of a stacked source, which break together.

use notation::{Code, Diagnostic, Item, ItemKind, Layout, Piece, Span};

use super::{name, sums};
use crate::reckon::{InSection, ReckonedVoice};

/// Reports voices that have fewer source lines than others, in a stacked source.
pub(super) fn count(piece: &Piece, voices: &[ReckonedVoice], diagnostics: &mut Vec<Diagnostic>) {
    if piece.head.layout != Layout::Stacked {
        return;
    }
    let ends_line = |item: &&Item| {
        item.standing.is_printed() && matches!(item.kind, ItemKind::LineEnd | ItemKind::PageEnd)
    };
    let lines =
        |voice: &ReckonedVoice| piece.voices[voice.place].items.iter().filter(ends_line).count();
    let most = voices.iter().map(lines).max().unwrap_or(0);
    for voice in voices.iter().filter(|voice| lines(voice) < most) {
        let (name, has) = (name(piece, voice), lines(voice));
        let ends = if has == 1 { "line end" } else { "line ends" };
        let message = format!("{name} has {has} {ends}, but other voices have {most}");
        diagnostics.push(
            Diagnostic::new(Code::SourceLinesDiffer, piece.voices[voice.place].span, message)
                .help("type / where a line of the source ends; or is a line left out?"),
        );
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
