//! Voices that cross.
//!
//! A voice that stands above another in the score sounds below it (Zarlino, *Istitutioni
//! harmoniche*, 1558, III, allows it for a while; from memory).

use std::collections::HashSet;

use super::Found;
use crate::study::moments::Moments;
use crate::study::rules::Rule;

/// Where two voices begin to cross; they cross until they are heard uncrossed again.
pub(super) fn find(moments: &Moments, found: &mut Found<'_>) {
    let mut crossed: HashSet<(u32, u32)> = HashSet::new();
    for moment in moments.iter() {
        for (place, upper) in moment.sounding.iter().enumerate() {
            for lower in &moment.sounding[place + 1..] {
                if !upper.struck && !lower.struck {
                    continue;
                }
                let lines = (upper.note.line, lower.note.line);
                if upper.height.rung >= lower.height.rung {
                    crossed.remove(&lines);
                } else if crossed.insert(lines) {
                    found.movement(Rule::Crossing, moment.at, &[upper.note, lower.note]);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{NOTHING, found};

    #[test]
    fn a_crossing_is_said_once() {
        assert_eq!(found(&["sb A4 E4 E4 A4", "sb D4 G4 G4 F4"]), ["2: remark crossing"]);
        assert_eq!(found(&["sb A4 E4", "sb D4 E4"]), NOTHING);
    }
}
