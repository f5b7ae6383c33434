//! Where the bar lines of a barred source stand.
//!
//! Printed bar lines stand at the ends of whole tactus (common practice of barred prints).

use super::rule::{Heard, OfEvent, Prior, Rule, Weighed};
use crate::kinds::named;
use crate::rank::Rank;

named! {
    /// How a printed bar line stands to the tactus.
    pub enum BarLine {
        /// It stands where a semibreve ends.
        Agrees = "agrees",
        /// It does not.
        Differs = "differs",
    }
}

impl Weighed for BarLine {
    const NAME: &'static str = "bar line";
    const PRIOR: Prior = Prior::Given(&[-0.3, 2.4]);
}

impl Rule for BarLine {
    fn sentence(self) -> String {
        match self {
            BarLine::Agrees => "the printed bar line stands where a tactus ends",
            BarLine::Differs => "the printed bar line stands within a tactus",
        }
        .to_owned()
    }
}

impl OfEvent for BarLine {
    fn observe(heard: &Heard<'_>) -> Option<BarLine> {
        let whole = || heard.note.measure.rank(heard.over) <= Rank::Semibreve;
        heard.note.facts.bar_line.then(|| if whole() { BarLine::Agrees } else { BarLine::Differs })
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::seen;

    #[test]
    fn a_bar_line_within_a_tactus() {
        let seen = seen("layout barred\nvoice A clef C1\n sb D4 | mn E | mn F lg G\n");
        assert_eq!(seen.of("bar line"), ["0: agrees", "2: differs"]);
    }
}
