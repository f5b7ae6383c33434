//! Where a hand is free to turn the page: at rests that end or begin a system of two staves.

use std::collections::BTreeMap;

use crate::frame::{Frame, Item, Origin, Role};

/// Whether a hand is free at the beginning of a system, and at its end. In a score of other than
/// two staves nobody knows what the hands do.
pub(crate) fn free(system: &Frame) -> (bool, bool) {
    if system.staves.len() != 2 {
        return (false, false);
    }
    let signs = || {
        let sign = |item: &Item| {
            let of = item.of?;
            matches!(item.role, Role::Head | Role::Rest).then_some((of, item.role == Role::Rest))
        };
        system.items.iter().filter_map(sign)
    };
    let first = signs().map(|(of, _)| of.bar).min();
    let last = signs().map(|(of, _)| of.bar).max();
    let rests = |bar: Option<usize>, outermost: fn(Origin) -> isize| {
        (0..2).any(|staff| {
            // Of every voice on the staff: how far out its outermost sign stands, and whether that
            // is a rest.
            let mut voices: BTreeMap<usize, (isize, bool)> = BTreeMap::new();
            for (of, rest) in signs().filter(|(of, _)| Some(of.bar) == bar && of.staff == staff) {
                let sign = (outermost(of), rest);
                let outer = voices.entry(of.voice).or_insert(sign);
                *outer = sign.max(*outer);
            }
            voices.values().all(|(_, rest)| *rest)
        })
    };
    (rests(first, |of| -(of.place as isize)), rests(last, |of| of.place as isize))
}

#[cfg(test)]
mod tests {
    use super::free;
    use crate::testing::picture;

    fn of(upper: &str, lower: &str) -> (bool, bool) {
        let text = format!("voice A clef C1\n {upper}\nvoice B clef F4\n {lower}\n");
        let picture = picture(&text);
        free(&picture.blocks.last().unwrap().frame)
    }

    #[test]
    fn a_hand_that_rests_is_free() {
        assert_eq!(of("mn A4 B A B sb A _", "mn D3 E F G A G F E"), (false, true));
        assert_eq!(of("mn A4 B A B A B A B", "sb _ mn D3 E F G A B"), (true, false));
    }

    #[test]
    fn a_hand_that_plays_is_not() {
        assert_eq!(of("mn A4 B A B A B A B", "mn D3 E F G A G F E"), (false, false));
    }
}
