//! Changes of the text, held to what is counted.

use notation::{Change, Changed, Edit, ItemId, Manner, Parsed};

use crate::first_difference;

/// The edits of a text that make a change at an event, as [`notation::change`] types them.
///
/// Nothing where that has none, or where a dot would then do something else than is meant: under a
/// perfect value, a note that completes another and one that is typed with its value are not the same.
pub fn change(
    text: &str,
    parsed: &Parsed,
    at: ItemId,
    change: &Change,
    manner: Manner,
) -> Option<Vec<Edit>> {
    let Changed { edits, read, meant } = notation::change(text, parsed, at, change, manner)?;
    first_difference(&meant, &read.piece).is_none().then_some(edits)
}

#[cfg(test)]
mod tests {
    use notation::{ItemKind, apply, parse};
    use rudiments::{Clef, Value};

    use super::*;

    fn changed(text: &str, item: usize, what: &Change) -> Option<String> {
        let at = ItemId { voice: 0, item };
        let edits = change(text, &parse(text), at, what, Manner::Retyped)?;
        Some(apply(text, &edits))
    }

    /// Where values may be perfect, a completing note says that the dot before it adds: where it cannot
    /// be typed as one any more, the change is refused unless that makes no difference.
    #[test]
    fn a_dot_that_would_divide_is_seen() {
        let perfect = "voice A clef C4 sign O\n  sb A3. .G mn F E F sb D E br D\n";
        let semibreve = Change::Values { value: Value::Semibreve, events: 1 };
        let typed = changed(perfect, 1, &semibreve).unwrap();
        assert_eq!(typed, perfect.replace(".G", "G"));
        // Typed with its value, the same G would let the dot divide.
        let read = parse(&perfect.replace(".G", "mn G")).piece;
        let mut meant = read.clone();
        let ItemKind::Event(event) = &mut meant.voices[0].items[1].kind else { panic!() };
        event.completing = true;
        assert!(first_difference(&meant, &read).is_some());
    }

    #[test]
    fn a_clef_changes_the_tones_of_its_stretch() {
        let text = "voice A clef C4\n  sb A3 B C4 D lg E\n";
        let clef = Change::Clef { clef: Clef::parse("C3").unwrap(), events: 2 };
        let typed = "voice A clef C4\n  sb A3 clef C3 D E4 clef C4 D lg E\n";
        assert_eq!(changed(text, 1, &clef).as_deref(), Some(typed));
    }
}
