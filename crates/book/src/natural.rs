//! The order in which a reader expects names with numbers: 2 before 10.

use std::cmp::Ordering;

/// Compares names; numbers in them by their value, all else letter by letter.
///
/// ```
/// let mut names = ["ex-10", "ex-2", "ex-1b", "ex-1"];
/// names.sort_by(|one, two| book::natural_order(one, two));
/// assert_eq!(names, ["ex-1", "ex-1b", "ex-2", "ex-10"]);
/// ```
pub fn natural_order(one: &str, two: &str) -> Ordering {
    let parts = pieces(one).zip(pieces(two)).map(|(a, b)| match (number(a), number(b)) {
        // Of numbers without zeros before them, the longer is the greater.
        (Some(a), Some(b)) => a.len().cmp(&b.len()).then_with(|| a.cmp(b)),
        _ => a.cmp(b),
    });
    let first = parts.into_iter().find(|order| order.is_ne());
    // What is the same so far: the one that goes on is the later; then by the letters themselves.
    first
        .unwrap_or_else(|| pieces(one).count().cmp(&pieces(two).count()).then_with(|| one.cmp(two)))
}

/// Figures and other letters in turn.
fn pieces(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = text;
    std::iter::from_fn(move || {
        let is_figure = rest.chars().next()?.is_ascii_digit();
        let end = rest.find(|c: char| c.is_ascii_digit() != is_figure).unwrap_or(rest.len());
        let (piece, after) = rest.split_at(end);
        rest = after;
        Some(piece)
    })
}

fn number(piece: &str) -> Option<&str> {
    piece.starts_with(|c: char| c.is_ascii_digit()).then(|| piece.trim_start_matches('0'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_count_by_their_value() {
        let ordered =
            ["", "1", "02", "2", "10", "99999999999999999999999", "a", "a1", "a2b", "a10"];
        for pair in ordered.windows(2) {
            assert!(natural_order(pair[0], pair[1]).is_lt(), "{pair:?}");
            assert!(natural_order(pair[1], pair[0]).is_gt(), "{pair:?}");
        }
        assert!(natural_order("7", "7").is_eq());
    }
}
