//! Which values follow which.
//!
//! Values change by degrees: dotted ones are followed by what completes them, short ones come in
//! groups (common practice). How rare each succession is was counted in the open data.

use super::rule::{Heard, OfEvent, Prior, Rule, Weighed};
use crate::kinds::{Kinds, named};
use crate::length::Length;

/// A value after another.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Succession {
    /// The first.
    pub first: Brevity,
    /// The second.
    pub second: Brevity,
}

named! {
    /// Classes of length as far as successions of them are told apart.
    pub enum Brevity {
        /// A fusa or less, dotted or not.
        Fusa = "fusa",
        /// A semiminim.
        Semiminim = "semiminim",
        /// A dotted semiminim.
        DottedSemiminim = "dotted semiminim",
        /// A minim.
        Minim = "minim",
        /// A dotted minim.
        DottedMinim = "dotted minim",
        /// A semibreve.
        Semibreve = "semibreve",
        /// A dotted semibreve.
        DottedSemibreve = "dotted semibreve",
        /// A breve, or longer.
        Breve = "breve",
        /// Anything else.
        Irregular = "irregular value",
        /// A rest of a minim or less.
        ShortRest = "short rest",
        /// A longer rest.
        LongRest = "long rest",
    }
}

impl From<Length> for Brevity {
    fn from(length: Length) -> Brevity {
        match length {
            Length::Semifusa | Length::Fusa | Length::DottedFusa => Brevity::Fusa,
            Length::Semiminim => Brevity::Semiminim,
            Length::DottedSemiminim => Brevity::DottedSemiminim,
            Length::Minim => Brevity::Minim,
            Length::DottedMinim => Brevity::DottedMinim,
            Length::Semibreve => Brevity::Semibreve,
            Length::DottedSemibreve => Brevity::DottedSemibreve,
            Length::Breve | Length::DottedBreve | Length::Longer => Brevity::Breve,
            Length::Irregular | Length::IrregularRest => Brevity::Irregular,
            Length::SemiminimRest | Length::MinimRest => Brevity::ShortRest,
            Length::SemibreveRest
            | Length::BreveRest
            | Length::TwoBrevesRest
            | Length::LongerRest => Brevity::LongRest,
        }
    }
}

impl Kinds for Succession {
    const COUNT: usize = Brevity::COUNT * Brevity::COUNT;

    fn number(self) -> usize {
        self.first.number() * Brevity::COUNT + self.second.number()
    }

    fn all() -> Vec<Succession> {
        let after =
            |first| Brevity::all().into_iter().map(move |second| Succession { first, second });
        Brevity::all().into_iter().flat_map(after).collect()
    }

    fn name(self) -> String {
        format!("{}, then {}", self.first.name(), self.second.name())
    }
}

impl Weighed for Succession {
    const NAME: &'static str = "succession";
    const PRIOR: Prior = Prior::Following(Brevity::COUNT);
}

impl Rule for Succession {
    fn sentence(self) -> String {
        self.name()
    }
}

impl OfEvent for Succession {
    const WITH_BEFORE: bool = true;

    fn observe(heard: &Heard<'_>) -> Option<Succession> {
        let first = heard.note.before?.into();
        Some(Succession { first, second: heard.note.class.into() })
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::seen;

    #[test]
    fn a_value_after_another() {
        let seen = seen("voice A clef C1\n sb D4. mn E lg F\n");
        assert_eq!(
            seen.of("succession"),
            ["3: dotted semibreve, then minim", "4: minim, then breve"]
        );
    }
}
