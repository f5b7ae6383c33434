//! Printed bar lines against the values between them.

use notation::{Code, Diagnostic, Layout, Piece, Span};
use rudiments::{Mensuration, Time};

use super::{BarLength, name};
use crate::reckon::{InSection, ReckonedVoice, Section};

/// Reports, in a barred print, every bar whose values do not fill it.
///
/// A print has bars of a semibreve or of a breve: whichever most of its bars have. What stands
/// before the first bar line may be short.
pub(super) fn compare(
    piece: &Piece,
    voices: &[ReckonedVoice],
    bar: BarLength,
    diagnostics: &mut Vec<Diagnostic>,
) {
    if piece.head.layout != Layout::Barred {
        return;
    }
    let printed = printed_bar(voices, bar);
    for voice in voices {
        let mut number = 0;
        for section in &voice.sections {
            for (place, (start, length, span)) in bars(&section.bar_lines).enumerate() {
                number += 1;
                let unit = unit(section, start, printed);
                let upbeat = place == 0 && length < unit;
                if length != unit && !upbeat {
                    let message = format!(
                        "the printed bar {number} of {} has {} minims, not {}",
                        name(piece, voice),
                        length.spoken(),
                        unit.spoken()
                    );
                    diagnostics.push(
                        Diagnostic::new(Code::BarLineOff, span, message)
                            .help("look for a wrong value, dot or rest before this bar line"),
                    );
                }
            }
        }
    }
}

/// Where the bars begin that end with each bar line, and how long they are.
fn bars(bar_lines: &[(InSection, Span)]) -> impl Iterator<Item = (InSection, Time, Span)> {
    let starts = std::iter::once(InSection::START).chain(bar_lines.iter().map(|(time, _)| *time));
    bar_lines.iter().zip(starts).map(|((time, span), start)| (start, *time - start, *span))
}

/// How long a full bar is at a moment.
fn unit(section: &Section, at: InSection, bar: BarLength) -> Time {
    bar.under(section.mensuration_at(at).unwrap_or(Mensuration::IMPERFECT))
}

/// Whether most printed bars are breves or semibreves; where neither, what the score has.
fn printed_bar(voices: &[ReckonedVoice], usual: BarLength) -> BarLength {
    let sections = || voices.iter().flat_map(|voice| &voice.sections);
    let count = |bar: BarLength| {
        let full = |section| {
            move |(start, length, _): &(InSection, Time, Span)| {
                *length == unit(section, *start, bar)
            }
        };
        sections()
            .map(|section| bars(&section.bar_lines).filter(full(section)).count())
            .sum::<usize>()
    };
    match count(BarLength::Breve).cmp(&count(BarLength::Semibreve)) {
        std::cmp::Ordering::Greater => BarLength::Breve,
        std::cmp::Ordering::Less => BarLength::Semibreve,
        std::cmp::Ordering::Equal => usual,
    }
}
