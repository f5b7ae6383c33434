//! The order in which people count: 2 before 10.

use std::cmp::Ordering;

/// Compares names as people order them: numbers in them by their size, everything else letter by
/// letter, without regard to capitals unless nothing else differs.
///
/// ```
/// let mut names = ["10", "2", "chapter-10.parts", "Chapter-9.parts", "2-b", "02"];
/// names.sort_by(|one, other| catalogue::natural_order(one, other));
/// assert_eq!(names, ["02", "2", "2-b", "10", "Chapter-9.parts", "chapter-10.parts"]);
/// ```
pub fn natural_order(one: &str, other: &str) -> Ordering {
    let same = alike(one, other);
    let (mut left, mut right) = (&one[same..], &other[same..]);
    loop {
        let order = match (left.chars().next(), right.chars().next()) {
            (None, None) => return one.cmp(other),
            (Some(a), Some(b)) if a.is_ascii_digit() && b.is_ascii_digit() => {
                let (a, b) = (number(&mut left), number(&mut right));
                a.len().cmp(&b.len()).then_with(|| a.cmp(b))
            }
            (Some(a), Some(b)) => {
                (left, right) = (&left[a.len_utf8()..], &right[b.len_utf8()..]);
                if a == b { Ordering::Equal } else { a.to_lowercase().cmp(b.to_lowercase()) }
            }
            (a, b) => a.is_some().cmp(&b.is_some()),
        };
        if order.is_ne() {
            return order;
        }
    }
}

/// How many bytes two names have in common at their beginning, without the figures of a number that goes
/// on. Paths of one folder have much in common.
fn alike(one: &str, other: &str) -> usize {
    let pairs = one.bytes().zip(other.bytes());
    let mut same = pairs.take_while(|(one, other)| one == other).count();
    while !one.is_char_boundary(same) || one[..same].ends_with(|c: char| c.is_ascii_digit()) {
        same -= 1;
    }
    same
}

/// Takes a number from the beginning of a text, without the zeros that it begins with.
fn number<'t>(text: &mut &'t str) -> &'t str {
    let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    let (number, rest) = text.split_at(end);
    *text = rest;
    number.trim_start_matches('0')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_count_by_their_value() {
        let ordered = [
            "",
            "1",
            "02",
            "2",
            "10",
            "99999999999999999999999",
            "a",
            "a1",
            "a2b",
            "a10",
            "Éa",
            "éb",
        ];
        for pair in ordered.windows(2) {
            assert!(natural_order(pair[0], pair[1]).is_lt(), "{pair:?}");
            assert!(natural_order(pair[1], pair[0]).is_gt(), "{pair:?}");
        }
        assert!(natural_order("7", "7").is_eq());
        assert!(natural_order("a/12/b9", "a/12/b10").is_lt());
        assert!(natural_order("a12", "a1é").is_gt());
        assert!(natural_order("è", "é").is_lt());
    }
}
