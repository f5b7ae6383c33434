//! Where the lines of a stacked source end.
//!
//! Where all voices stand under one another, they break their lines together (common practice of
//! such sources).

use super::rule::{Heard, OfEvent, Prior, Rule, Weighed};
use crate::kinds::named;

named! {
    /// How the end of a voice's line stands to those of the other voices, in a stacked source.
    pub enum LineEnd {
        /// It comes with most of them.
        Agrees = "agrees",
        /// It does not.
        Differs = "differs",
    }
}

impl Weighed for LineEnd {
    const NAME: &'static str = "line end";
    const PRIOR: Prior = Prior::Given(&[-0.3, 1.2]);
}

impl Rule for LineEnd {
    fn sentence(self) -> String {
        match self {
            LineEnd::Agrees => "the line of the source ends with those of the other voices",
            LineEnd::Differs => "the line of the source does not end with the other voices'",
        }
        .to_owned()
    }
}

impl OfEvent for LineEnd {
    fn observe(heard: &Heard<'_>) -> Option<LineEnd> {
        let expected = heard.note.facts.line_sum?;
        Some(if expected == heard.over { LineEnd::Agrees } else { LineEnd::Differs })
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::seen;

    #[test]
    fn lines_end_together() {
        let seen = seen(
            "layout stacked\nvoice A clef C1\n sb D4 E / sb F / lg G\n\
             voice B clef C4\n sb D3 E / mn F / lg G\n",
        );
        assert_eq!(seen.of("line end"), ["2: agrees", "2: agrees", "4: differs", "4: differs"]);
    }
}
