//! Where the editor lets systems and pages begin.

use notation::{Code, Diagnostic, Head};

use crate::Break;

/// The breaks of a piece of so many bars, in order, one a bar.
pub(super) fn of_head(head: &Head, bars: usize, diagnostics: &mut Vec<Diagnostic>) -> Vec<Break> {
    let mut breaks = Vec::with_capacity(head.breaks.len());
    for typed in &head.breaks {
        let bar = typed.bar as usize - 1;
        if bar < bars {
            breaks.push(Break { bar, page: typed.page });
        } else {
            let count = if bars == 1 { "one bar".to_owned() } else { format!("{bars} bars") };
            let message = format!("the piece has {count}, no bar {}", typed.bar);
            diagnostics.push(
                Diagnostic::new(Code::BreakUnclear, typed.span, message).help(
                    "type the number of a bar as the score counts them, or leave the line out",
                ),
            );
        }
    }
    // A page counts before a system.
    breaks.sort_unstable_by_key(|one| (one.bar, !one.page));
    breaks.dedup_by_key(|one| one.bar);
    breaks
}

#[cfg(test)]
mod tests {
    use notation::parse;

    use super::*;

    #[test]
    fn bars_that_are_there() {
        let head = parse("break 4\npage 4\nbreak 2\nvoice A clef C1\n sb A4\n").piece.head;
        let mut diagnostics = Vec::new();
        let page = |bar, page| Break { bar, page };
        assert_eq!(of_head(&head, 4, &mut diagnostics), [page(1, false), page(3, true)]);
        assert_eq!(diagnostics, []);
        assert_eq!(of_head(&head, 3, &mut diagnostics), [page(1, false)]);
        let said: Vec<&str> = diagnostics.iter().map(|found| found.message.as_str()).collect();
        assert_eq!(said, ["the piece has 3 bars, no bar 4"; 2]);
    }
}
