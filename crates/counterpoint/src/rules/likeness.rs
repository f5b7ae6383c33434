//! What comes again with the same melody most likely comes with the same values.
//!
//! Imitation, and the reason why proofreaders compare entries (common practice). For every five
//! notes in a row the four steps between them are looked up in the whole piece, and the length of
//! the note in the midst is compared.

use super::rule::{Prior, Rule, Weighed};
use crate::kinds::{Kinds, named};
use crate::length::Length;

named! {
    /// How the length of a note stands to those of the notes that come elsewhere amid the same
    /// melody.
    pub enum Likeness {
        /// The melody comes once more, with this length.
        LikeOne = "like the one",
        /// It comes more often, half of the times or more with this length.
        LikeMost = "like most",
        /// It comes once more, with another length.
        UnlikeOne = "unlike the one",
        /// It comes more often, as a rule with other lengths.
        UnlikeMost = "unlike most",
    }
}

impl Likeness {
    /// How a length stands to the others, which are counted.
    pub(crate) fn of(length: Length, others: &[u16; Length::COUNT]) -> Option<Likeness> {
        let all: u32 = others.iter().map(|count| u32::from(*count)).sum();
        let same = u32::from(others[length.number()]);
        Some(match (all, same * 2 >= all) {
            (0, _) => return None,
            (1, true) => Likeness::LikeOne,
            (_, true) => Likeness::LikeMost,
            (1, false) => Likeness::UnlikeOne,
            (_, false) => Likeness::UnlikeMost,
        })
    }
}

impl Weighed for Likeness {
    const NAME: &'static str = "likeness";
    const PRIOR: Prior = Prior::Given(&[-0.12, -0.3, 0.12, 0.3]);
}

impl Rule for Likeness {
    fn sentence(self) -> String {
        match self {
            Likeness::LikeOne => "the value is as where the melody comes again",
            Likeness::LikeMost => "the value is as it mostly is amid this melody",
            Likeness::UnlikeOne => "the value is another where the melody comes again",
            Likeness::UnlikeMost => "the value is mostly another amid this melody",
        }
        .to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::duo;

    #[test]
    fn an_answer_in_other_values() {
        assert_eq!(
            duo("mn A4 B4 C5 D5 E5", "br _ mn D3 E3 F3 G3 A3").of("likeness"),
            ["2: like the one", "6: like the one"]
        );
        assert_eq!(
            duo("mn A4 B4 C5 D5 E5", "br _ mn D3 E3 sb F3 mn G3 A3").of("likeness"),
            ["2: unlike the one", "6: unlike the one"]
        );
    }
}
