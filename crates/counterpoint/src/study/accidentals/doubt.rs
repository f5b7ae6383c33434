//! What speaks against a sign.

use crate::observe::EventId;

/// What speaks against a sign.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Doubt {
    /// Another voice has the note without the sign, with it or within a semibreve before.
    Natural(EventId),
    /// The line would go by an augmented step, to or from the note.
    AugmentedStep,
    /// The rule itself leaves it open: prints and editions of the time often do without.
    Open,
}

impl Doubt {
    /// In words.
    pub fn name(self) -> &'static str {
        match self {
            Doubt::Natural(_) => "another voice has it without the sign",
            Doubt::AugmentedStep => "the step to it or from it would be augmented",
            Doubt::Open => "it may be meant otherwise",
        }
    }
}
