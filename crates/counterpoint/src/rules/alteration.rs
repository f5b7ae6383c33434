//! Notes that a sign alters from what the signature makes of them.
//!
//! Signs are the exception (common practice).

use super::rule::{Heard, OfEvent, Rule, Weighed};
use crate::kinds::named;

named! {
    /// A note beside its signature.
    pub enum Alteration {
        /// A sign alters it.
        Altered = "altered",
    }
}

impl Weighed for Alteration {
    const NAME: &'static str = "alteration";
}

impl Rule for Alteration {
    fn sentence(self) -> String {
        "the note is altered by a sign".to_owned()
    }
}

impl OfEvent for Alteration {
    fn observe(heard: &Heard<'_>) -> Option<Alteration> {
        heard.note.pitch.is_some_and(|pitch| pitch.altered).then_some(Alteration::Altered)
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::seen;

    #[test]
    fn what_the_signature_has_is_not_altered() {
        let seen = seen("voice A clef C1 signature Bb\n mn B4 A F#4 Bn4\n");
        assert_eq!(seen.of("alteration"), ["2: altered", "3: altered"]);
    }
}
