//! Parallels between what sounds highest and what sounds lowest, whichever voices make them.
//!
//! Voices that cross exchange their lines on the keyboard, where one hears the outer sounds as two
//! voices (common practice).

use super::Found;
use super::together::Perfect;
use crate::study::moments::{Moment, Moments, Sounding};
use crate::study::rules::Rule;

/// Fifths or octaves in a row, in the same direction, that no two voices make by themselves.
pub(super) fn find(moments: &Moments, found: &mut Found<'_>) {
    let mut before: Option<(&Sounding, &Sounding)> = None;
    for place in 0..moments.len() {
        let now = moments.get(place).and_then(outer);
        if let (Some((upper, lower)), Some((above, below))) = (now, before) {
            let lines = |upper: &Sounding, lower: &Sounding| (upper.note.line, lower.note.line);
            let perfect = Perfect::of(upper.height, lower.height);
            let ways = (upper.pitch().cmp(&above.pitch()), lower.pitch().cmp(&below.pitch()));
            let is_parallel = upper.struck
                && lower.struck
                && lines(upper, lower) != lines(above, below)
                && Perfect::of(above.height, below.height) == perfect
                && ways.0.is_ne()
                && ways.0 == ways.1;
            if let Some(perfect) = perfect.filter(|_| is_parallel) {
                let rule = perfect.rule(Rule::OuterFifths, Rule::OuterOctaves);
                let at = upper.note.of(found.texture).onset;
                found.movement(rule, at, &[upper.note, lower.note]);
            }
        }
        before = now;
    }
}

/// The highest and the lowest of what sounds; of several as high, the first.
fn outer(moment: Moment<'_>) -> Option<(&Sounding, &Sounding)> {
    let higher = |one: &&Sounding, other: &&Sounding| {
        one.pitch().cmp(&other.pitch()).then(other.note.cmp(&one.note))
    };
    let upper = moment.sounding.iter().max_by(higher)?;
    let lower = moment.lowest()?;
    (upper.note != lower.note).then_some((upper, lower))
}

#[cfg(test)]
mod tests {
    use super::super::testing::found;

    #[test]
    fn voices_that_cross_make_outer_fifths() {
        let crossing = found(&["sb A4 G4", "sb F4 B4", "sb D4 E4"]);
        assert!(crossing.contains(&"2: remark outer-fifths".to_owned()), "{crossing:?}");
        let plain = found(&["sb A4 B4", "sb F4 G4", "sb D4 E4"]);
        assert!(!plain.iter().any(|found| found.contains("outer")), "{plain:?}");
    }
}
