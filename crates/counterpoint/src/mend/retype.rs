//! Suggestions as changes of the text: retyped, or written as an emendation beside what is printed.

use notation::{Change, Edit, ItemId, Manner, NewEvent, Parsed};

use super::suggestion::Suggestion;
use crate::slip::Repair;

/// The edits by which a suggestion is typed instead of what stands there: a typist's slip.
///
/// Nothing where it says too little to be typed, as of a whole line left out.
pub fn retype(text: &str, parsed: &Parsed, suggestion: &Suggestion) -> Option<Vec<Edit>> {
    made(text, parsed, suggestion, Manner::Retyped)
}

/// The edits by which a suggestion is written as an emendation, `< printed | read >`: the source
/// was seen to be wrong.
///
/// Nothing where it says too little, or where an emendation cannot stand.
pub fn emend(text: &str, parsed: &Parsed, suggestion: &Suggestion) -> Option<Vec<Edit>> {
    made(text, parsed, suggestion, Manner::Emended)
}

fn made(text: &str, parsed: &Parsed, suggestion: &Suggestion, manner: Manner) -> Option<Vec<Edit>> {
    let at = ItemId { voice: suggestion.voice, item: suggestion.item };
    score::change(text, parsed, at, &change(suggestion.repair)?, manner)
}

/// A repair as a change; nothing where nobody can guess what is to be typed.
fn change(repair: Repair) -> Option<Change> {
    Some(match repair {
        Repair::Value { value, dotted } => Change::Value { value, dotted },
        Repair::Pair { first, second } => Change::Pair { first, second },
        Repair::Degrees { smaller, events } => Change::Degrees { smaller, events },
        Repair::InsertNote { value, dotted, tone } => {
            Change::Insert(vec![NewEvent { dotted, ..NewEvent::note(value, tone) }])
        }
        Repair::InsertRest { value } => Change::Insert(vec![NewEvent::rest(value)]),
        Repair::Delete => Change::Delete,
        Repair::InsertLine { .. } => return None,
        Repair::Tone(tone) => Change::Tone(tone),
        Repair::Exchange { first, second } => Change::Tones { first, second },
        Repair::Sign(sign) => Change::Sign(sign),
        Repair::Transpose { steps, events } => Change::Steps { steps, events },
    })
}

#[cfg(test)]
mod tests;
