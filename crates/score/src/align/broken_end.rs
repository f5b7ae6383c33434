//! Voices that end within a proportion, before its notes make up whole values again.

use notation::{Code, Diagnostic};

use super::finals::Final;

/// The last notes and rests of a section that neither begin nor end where plain values can.
///
/// One of them is missing a note, or one is too many; or plain counting was to begin again before
/// it. A last note that begins at a whole place may last as long as it likes, since it is held. Where
/// another voice comes to its last note at the same moment, it is meant so.
pub(super) fn find<'f, 'p>(
    finals: &'f [Final<'p>],
) -> impl Iterator<Item = &'f Final<'p>> + use<'f, 'p> {
    finals.iter().enumerate().filter_map(|(place, last)| {
        let others = finals.iter().enumerate().filter(|(other, _)| *other != place);
        let mut onsets = others.map(|(_, other)| other.onset);
        let alone = onsets.all(|onset| onset != last.onset);
        (last.is_broken && alone).then_some(last)
    })
}

pub(super) fn report(last: &Final<'_>) -> Diagnostic {
    let name = last.name;
    let what = if last.is_rest { "rest" } else { "note" };
    let message = format!(
        "{name} ends within a proportion: its last {what} begins after {} minims and would end after {}",
        last.onset.passed().spoken(),
        last.end.passed().spoken()
    );
    Diagnostic::new(Code::EndsBroken, last.span, message).help(
        "look for a note or rest that is missing or too many since the ratio, the sign or the black \
         notes; or type `ratio 1:1` where plain counting begins again",
    )
}
