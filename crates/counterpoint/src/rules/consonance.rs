//! Consonances, and where they are.
//!
//! Unison, octave and fifth are perfect, thirds and sixths imperfect consonances (Zarlino,
//! *Istitutioni harmoniche*, 1558, III; from memory). A fourth, a diminished fifth or an augmented
//! fourth passes for one if it has a lower voice under it (Fux, *Gradus ad Parnassum*, 1725, I; from
//! memory).

use super::rule::{Meeting, OfMeeting, Prior, Rule, Weighed};
use crate::dyad::{Concord, Dyad};
use crate::kinds::Kinds;
use crate::rank::Strength;

/// Two notes that are consonant, or pass for it.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Consonance {
    /// What they make.
    pub concord: Concord,
    /// Whether both are struck at once; else one is held.
    pub together: bool,
    /// Where.
    pub strength: Strength,
}

impl Kinds for Consonance {
    const COUNT: usize = Concord::COUNT * 2 * Strength::COUNT;

    fn number(self) -> usize {
        let kind = self.concord.number() * 2 + usize::from(self.together);
        kind * Strength::COUNT + self.strength.number()
    }

    fn all() -> Vec<Consonance> {
        let mut all = Vec::with_capacity(Consonance::COUNT);
        for concord in Concord::all() {
            for together in [false, true] {
                for strength in Strength::all() {
                    all.push(Consonance { concord, together, strength });
                }
            }
        }
        all
    }

    fn name(self) -> String {
        let how = if self.together { "struck together" } else { "struck against a held note" };
        format!("{} {how} {}", self.concord.name(), self.strength.name())
    }
}

impl Weighed for Consonance {
    const NAME: &'static str = "consonance";
    const PRIOR: Prior = Prior::Displaced;
}

impl Rule for Consonance {
    fn sentence(self) -> String {
        let article = if self.concord == Concord::Octave { "an" } else { "a" };
        format!("{article} {}", self.name())
    }
}

impl OfMeeting for Consonance {
    fn observe(meeting: &Meeting<'_>) -> Option<Consonance> {
        let Dyad::Concord(concord) = meeting.dyad else { return None };
        Some(Consonance { concord, together: meeting.together(), strength: meeting.strength })
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{duo, seen};

    #[test]
    fn a_pair_is_looked_at_whenever_one_of_the_two_is_struck() {
        assert_eq!(
            duo("sb C5 mn B4 C5", "mn C4 E G sm A G").of("consonance"),
            [
                "0: octave struck together on a semibreve",
                "1: minor sixth struck against a held note on a minim",
                "2: major third struck together on a semibreve",
                "3: minor third struck together on a minim"
            ]
        );
    }

    #[test]
    fn a_fourth_passes_over_a_lower_voice() {
        let seen =
            seen("voice A clef C1\n mn C5\nvoice B clef C3\n mn G4\nvoice C clef F4\n mn C3");
        assert_eq!(
            seen.of("consonance"),
            [
                "0: fourth over a lower voice struck together on a semibreve",
                "0: octave struck together on a semibreve",
                "0: fifth struck together on a semibreve"
            ]
        );
    }
}
