//! A voice that is being typed: what it does not have yet is no fault.

use cartella::{Code, Diagnostic, Item, ItemKind, Piece};

/// Whether a voice ends with a double bar, `//` or `||`, or with the end of a repeated section.
fn is_finished(items: &[Item]) -> bool {
    let printed = items.iter().rev().filter(|item| item.standing.is_printed());
    let last = printed.map(|item| &item.kind).find(|kind| {
        !matches!(
            kind,
            ItemKind::Words(_) | ItemKind::Close(_) | ItemKind::Direct(_) | ItemKind::More
        )
    });
    matches!(last, Some(ItemKind::PageEnd | ItemKind::SectionEnd | ItemKind::Repeat))
}

/// Whether the voice of the cursor is still being typed.
pub(crate) fn is_being_typed(piece: &Piece, voice: Option<usize>) -> bool {
    let voice = voice.and_then(|voice| piece.voices.get(voice));
    voice.is_some_and(|voice| voice.canon.is_none() && !is_finished(&voice.items))
}

/// Whether something is said of how long voices are, or of how they agree: while one of them is being
/// typed, it is not said.
pub(crate) fn is_of_length(found: &Diagnostic) -> bool {
    matches!(
        found.code,
        Code::NotTogether
            | Code::NotMeeting
            | Code::SectionTaken
            | Code::ReadingDivided
            | Code::ReadingTaken
            | Code::SourceLinesDiffer
            | Code::NoMusic
            | Code::MissingSign
            | Code::LineNotTyped
            | Code::EndsBroken
            | Code::BarsOfOthers
            | Code::CutShort
    )
}

#[cfg(test)]
mod tests {
    use cartella::Document;

    use super::*;

    #[test]
    fn a_double_bar_finishes_a_voice() {
        for (music, typed) in [
            ("sb D4 E //", false),
            ("sb D4 E ||", false),
            ("sb D4 E ::", false),
            ("{ sb D4 E // }", false),
            ("sb D4 E", true),
            ("sb D4 E /", true),
            ("sb D4 // E", true),
            ("", true),
        ] {
            let document = Document::parse(format!("voice A clef C1\n {music}\n"));
            assert_eq!(is_being_typed(document.first().piece(), Some(0)), typed, "{music}");
        }
    }
}
