//! Where values are typed, rather than in force from an event before.

use notation::{ItemKind, Token, TokenKind, Voice, tokens};
use rudiments::Value;

/// Where the value words of a text stand, in bytes, in order.
pub(super) struct TypedValues(Vec<u32>);

impl TypedValues {
    pub(super) fn of(text: &str) -> TypedValues {
        let mut before = "";
        let mut places = Vec::new();
        for Token { kind, span, .. } in tokens(text) {
            let word = span.of(text);
            // A value after these belongs to a reading of time.
            let is_argument = matches!(before, "perfect" | "imperfect");
            if kind == TokenKind::Word && !is_argument && Value::from_letters(word).is_some() {
                places.push(span.start);
            }
            before = word;
        }
        TypedValues(places)
    }

    /// The items of a voice that are events with a value typed before them: the first of every
    /// block among them, as nothing is in force there.
    pub(super) fn before(&self, voice: &Voice) -> Vec<usize> {
        let mut found = Vec::new();
        let mut last: Option<u32> = None;
        for (place, item) in voice.items.iter().enumerate() {
            match item.kind {
                ItemKind::More => last = None,
                ItemKind::Event(_) => {
                    let typed = last.is_none_or(|last| {
                        let next = self.0.partition_point(|value| *value < last);
                        self.0.get(next).is_some_and(|value| *value < item.span.start)
                    });
                    if typed {
                        found.push(place);
                    }
                    last = Some(item.span.end);
                }
                _ => {}
            }
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use notation::parse;

    use super::*;

    #[test]
    fn values_are_typed_before_some_events() {
        let text = "voice A clef C1\n mn D4. .E F perfect br G sb _*2 sb A \"mn\" B ; mn\n C\n\
                    voice B clef F4\n mn D3\nmore A\n sb D4 E\n";
        let piece = parse(text).piece;
        let voice = &piece.voices[0];
        let typed = TypedValues::of(text).before(voice);
        let words: Vec<&str> = typed.iter().map(|item| voice.items[*item].span.of(text)).collect();
        assert_eq!(words, ["D4.", "_*2", "A", "D4"]);
    }
}
