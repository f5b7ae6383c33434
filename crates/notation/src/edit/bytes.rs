//! Changes to the text that keep all other bytes.

use crate::Span;

/// Something else to stand in a place of the text; an empty span inserts.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Edit {
    /// The place.
    pub span: Span,
    /// What is to stand there.
    pub text: String,
}

impl Edit {
    /// The edit that puts `text` in place of `span`.
    pub fn new(span: Span, text: impl Into<String>) -> Edit {
        Edit { span, text: text.into() }
    }
}

/// The text with all edits made, in whatever order they are given.
///
/// Where two overlap, the one that begins first is made and the other is not.
pub fn apply(text: &str, edits: &[Edit]) -> String {
    let mut edits: Vec<&Edit> = edits.iter().collect();
    edits.sort_by_key(|edit| edit.span);
    let mut result = String::with_capacity(text.len() + 16 * edits.len());
    let mut done = 0;
    for edit in edits {
        let range = edit.span.range();
        if range.start < done {
            continue;
        }
        result.push_str(&text[done..range.start]);
        result.push_str(&edit.text);
        done = range.end;
    }
    result.push_str(&text[done..]);
    result
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_other_bytes_stay() {
        let edits = [Edit::new(Span::new(5, 6), "B"), Edit::new(Span::new(0, 0), "; ")];
        assert_eq!(apply("mn D A\n", &edits), "; mn D B\n");
    }

    #[test]
    fn the_first_of_two_that_overlap_is_made() {
        let edits = [Edit::new(Span::new(0, 4), "x"), Edit::new(Span::new(2, 6), "y")];
        assert_eq!(apply("abcdef", &edits), "xef");
    }

    proptest::proptest! {
        /// Edits of different places are made as if one after another, from the last to the first.
        #[test]
        fn edits_keep_all_other_bytes(
            pieces in proptest::collection::vec(("[a-z♯]{0,5}", "[a-z♯]{1,5}", "[A-Z♭]{0,5}"), 0..8),
        ) {
            let mut text = String::new();
            let mut edits = Vec::new();
            let mut expected = String::new();
            for (kept, replaced, new) in &pieces {
                text.push_str(kept);
                expected.push_str(kept);
                edits.push(Edit::new(Span::new(text.len(), text.len() + replaced.len()), new));
                text.push_str(replaced);
                expected.push_str(new);
            }
            edits.reverse();
            proptest::prop_assert_eq!(apply(&text, &edits), expected);
        }
    }
}
