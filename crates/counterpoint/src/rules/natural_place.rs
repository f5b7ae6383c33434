//! The natural place of values in the tactus.
//!
//! A value naturally begins where a longer one could: a semibreve on the first or second half of
//! the breve, a minim on a minim's place, and so on; values that begin elsewhere are syncopated
//! (Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 49, on syncopation; from memory).

use super::rule::{Heard, OfEvent, Prior, Rule, Weighed};
use crate::kinds::Kinds;
use crate::length::Length;
use crate::rank::Rank;

/// A value, and where it begins.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct NaturalPlace {
    /// The value.
    pub length: Length,
    /// The rank of its beginning.
    pub rank: Rank,
}

impl Kinds for NaturalPlace {
    const COUNT: usize = Length::COUNT * Rank::COUNT;

    fn number(self) -> usize {
        self.length.number() * Rank::COUNT + self.rank.number()
    }

    fn all() -> Vec<NaturalPlace> {
        let of = |length| Rank::all().into_iter().map(move |rank| NaturalPlace { length, rank });
        Length::all().into_iter().flat_map(of).collect()
    }

    fn name(self) -> String {
        format!("{} {}", self.length.name(), self.rank.name())
    }
}

impl Weighed for NaturalPlace {
    const NAME: &'static str = "natural place";
    const PRIOR: Prior = Prior::Displaced;
}

impl Rule for NaturalPlace {
    fn sentence(self) -> String {
        format!("a {} begins {}", self.length.name(), self.rank.name())
    }
}

impl OfEvent for NaturalPlace {
    fn observe(heard: &Heard<'_>) -> Option<NaturalPlace> {
        let rank = heard.note.measure.rank(heard.onset);
        let has_place = !heard.note.facts.odd && heard.note.measure.is_beaten();
        has_place.then_some(NaturalPlace { length: heard.note.class, rank })
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::seen;

    #[test]
    fn a_semibreve_is_syncopated_after_a_minim() {
        let seen = seen("voice A clef C1\n mn D4 sb E mn F br G\n");
        assert_eq!(
            seen.of("natural place"),
            [
                "0: minim on a breve",
                "1: semibreve on a minim",
                "3: minim on a minim",
                "4: breve on a breve"
            ]
        );
    }
}
