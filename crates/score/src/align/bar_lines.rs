//! Printed bar lines against the values between them.

use notation::{Code, Diagnostic, Layout, Piece, Span};
use rudiments::{Time, Value};

use super::name;
use crate::reckon::{InSection, ReckonedVoice};

/// Reports, in a barred print, every bar whose values do not fill it.
///
/// A print has bars of a semibreve or of a breve: whichever most of its bars have. What stands
/// before the first bar line may be short.
pub(super) fn compare(
    piece: &Piece,
    voices: &[ReckonedVoice],
    bar: Time,
    diagnostics: &mut Vec<Diagnostic>,
) {
    if piece.head.layout != Layout::Barred {
        return;
    }
    let unit = printed_bar(voices, bar);
    for voice in voices {
        let mut number = 0;
        for section in &voice.sections {
            for (place, (length, span)) in bars(&section.bar_lines).enumerate() {
                number += 1;
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

/// The lengths of the bars that end with each bar line.
fn bars(bar_lines: &[(InSection, Span)]) -> impl Iterator<Item = (Time, Span)> {
    let starts = std::iter::once(InSection::START).chain(bar_lines.iter().map(|(time, _)| *time));
    bar_lines.iter().zip(starts).map(|((time, span), start)| (*time - start, *span))
}

fn printed_bar(voices: &[ReckonedVoice], bar: Time) -> Time {
    let sections = || voices.iter().flat_map(|voice| &voice.sections);
    let count = |unit: Time| {
        sections()
            .flat_map(|section| bars(&section.bar_lines))
            .filter(|(length, _)| *length == unit)
            .count()
    };
    let (breves, semibreves) = (count(Value::Breve.plain()), count(Value::Semibreve.plain()));
    match breves.cmp(&semibreves) {
        std::cmp::Ordering::Greater => Value::Breve.plain(),
        std::cmp::Ordering::Less => Value::Semibreve.plain(),
        std::cmp::Ordering::Equal => bar,
    }
}
