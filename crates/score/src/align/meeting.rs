//! Where the voices meet at the end of a section, and whether they do.

use notation::{Code, Diagnostic, Piece, Span};
use rudiments::{Time, Value};

use super::finals::Final;
use super::measures::Measures;
use super::{BarLength, broken_end, source_lines, sums};
use crate::reckon::{InSection, ReckonedVoice};

/// How long a section is in which the voices' last events are these.
///
/// Where all values lead to the same place inside the piece, they meet there. The longs at the end
/// of a section stand for no particular length, as the last notes of a piece do: all are held or
/// trimmed to the end of the bar in which the last of them begins (common practice).
fn length(finals: &[Final<'_>], last: bool, measures: &Measures) -> Time {
    let latest = finals.iter().map(|f| f.onset).max().unwrap_or_default();
    let together = finals.iter().all(|f| f.end == finals[0].end);
    let of_no_length = last || finals.iter().any(|f| f.value <= Value::Longa);
    if finals.is_empty() {
        // A double bar after another, or at the very beginning.
        Time::ZERO
    } else if together && !of_no_length {
        finals[0].end.passed()
    } else {
        measures.end_of_bar(latest).passed()
    }
}

/// The length of a section, and what is wrong where the voices do not meet at its end.
pub(super) fn meet(
    piece: &Piece,
    voices: &[ReckonedVoice],
    number: usize,
    last: bool,
    measures: &Measures,
    diagnostics: &mut Vec<Diagnostic>,
) -> Time {
    let finals: Vec<Final<'_>> =
        voices.iter().filter_map(|voice| Final::of(piece, voice, number)).collect();
    let length = length(&finals, last, measures);
    let told_before = diagnostics.len();
    if finals.iter().any(|f| f.end != finals[0].end) {
        let notes: Vec<Final<'_>> = finals.iter().filter(|f| !f.is_rest).copied().collect();
        let apart = apart(&notes);
        if !apart.is_empty() {
            let where_apart = source_lines::apart(piece, voices, number);
            let told = apart.iter().filter(|(f, kind)| *kind == Apart::Wrong || !f.is_followed);
            diagnostics.extend(
                told.map(|(f, kind)| report(f, *kind, &notes, number, last, where_apart.clone())),
            );
        }
    }
    // Where it is said that a voice ends early or late, this would say it again.
    let told: Vec<Span> = diagnostics[told_before..].iter().map(|found| found.span).collect();
    let broken = broken_end::find(&finals).filter(|last| !told.contains(&last.span));
    diagnostics.extend(broken.map(broken_end::report));
    length
}

/// The length of a section by the voices that have it, for those that may not.
pub(super) fn length_of_section(
    piece: &Piece,
    voices: &[&ReckonedVoice],
    number: usize,
    bar: BarLength,
) -> Time {
    let finals: Vec<Final<'_>> =
        voices.iter().filter_map(|voice| Final::of(piece, voice, number)).collect();
    let measures = Measures::of_section(voices.iter().copied(), number, bar);
    length(&finals, false, &measures)
}

/// How a voice's last note stands to those of the others.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Apart {
    /// It begins earlier or later, but on a semibreve's beat and so that all sound together, as a
    /// voice does that is held while others still move.
    OnABeat,
    /// It cannot be meant.
    Wrong,
}

/// The last notes that do not begin when most of them do.
fn apart<'f, 'p>(notes: &'f [Final<'p>]) -> Vec<(&'f Final<'p>, Apart)> {
    let Some(most) = most_common(notes) else { return Vec::new() };
    let sounds_until = notes.iter().filter(|f| f.onset == most).map(|f| f.end).max();
    notes
        .iter()
        .filter(|f| f.onset != most)
        .map(|f| {
            let sounds_together =
                if f.onset < most { f.end > most } else { sounds_until > Some(f.onset) };
            let kind =
                if on_a_beat(f.onset) && sounds_together { Apart::OnABeat } else { Apart::Wrong };
            (f, kind)
        })
        .collect()
}

fn on_a_beat(time: InSection) -> bool {
    time.passed().within(Value::Semibreve.plain()).is_zero()
}

/// When most of the last notes begin; of equals, on a beat rather than off it, and later.
fn most_common(notes: &[Final<'_>]) -> Option<InSection> {
    let count = |time: InSection| notes.iter().filter(|f| f.onset == time).count();
    notes.iter().map(|f| f.onset).max_by_key(|time| (count(*time), on_a_beat(*time), *time))
}

fn report(
    f: &Final<'_>,
    kind: Apart,
    notes: &[Final<'_>],
    number: usize,
    last: bool,
    source_line: Option<(Span, String)>,
) -> Diagnostic {
    let code = match (kind, last) {
        (Apart::OnABeat, _) => Code::FinalsApart,
        (Apart::Wrong, true) => Code::NotTogether,
        (Apart::Wrong, false) => Code::NotMeeting,
    };
    let most = most_common(notes).unwrap_or(f.onset);
    let (difference, direction) =
        if f.onset < most { (most - f.onset, "early") } else { (f.onset - most, "late") };
    let which = if last { String::new() } else { format!(" of section {}", number + 1) };
    let minims = if difference > Time::minims(1) { "minims" } else { "minim" };
    let name = f.name;
    let message = format!(
        "{name} comes to its last note{which} {} {minims} {direction}",
        difference.spoken()
    );
    let lengths = sums(notes.iter().map(|f| (f.name, f.onset)));
    let diagnostic = Diagnostic::new(code, f.span, message);
    let diagnostic = match source_line {
        Some((span, label)) if kind == Apart::Wrong => diagnostic.related(span, label),
        _ => diagnostic,
    };
    diagnostic.help(format!("up to the last note{which}, in minims: {lengths}"))
}
