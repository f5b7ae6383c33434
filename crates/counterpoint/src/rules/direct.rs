//! What the directs of the source announce.
//!
//! A direct at the end of a line announces the next note (common practice).

use super::rule::{Heard, OfEvent, Prior, Rule, Weighed};
use crate::kinds::named;

named! {
    /// How a note stands to the direct before it.
    pub enum Direct {
        /// It is announced.
        Agrees = "agrees",
        /// Another one is.
        Differs = "differs",
    }
}

impl Weighed for Direct {
    const NAME: &'static str = "direct";
    const PRIOR: Prior = Prior::Given(&[-0.3, 3.5]);
}

impl Rule for Direct {
    fn sentence(self) -> String {
        match self {
            Direct::Agrees => "the note agrees with the direct before it",
            Direct::Differs => "the note differs from the direct before it",
        }
        .to_owned()
    }
}

impl OfEvent for Direct {
    fn observe(heard: &Heard<'_>) -> Option<Direct> {
        let (announced, pitch) = (heard.note.facts.direct?, heard.note.pitch?);
        Some(if announced == pitch.rung { Direct::Agrees } else { Direct::Differs })
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::seen;

    #[test]
    fn a_direct_announces_the_next_note() {
        let seen = seen("voice A clef C1\n mn D4 E ~F4 / F E ~D4 / _ C4\n");
        assert_eq!(seen.of("direct"), ["2: agrees", "5: differs"]);
    }
}
