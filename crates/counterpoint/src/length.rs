//! Classes of length.

use crate::kinds::named;

named! {
    /// The class of the length of a note or rest.
    pub enum Length {
        /// A note of a semifusa or less.
        Semifusa = "semifusa",
        /// A fusa.
        Fusa = "fusa",
        /// A dotted fusa.
        DottedFusa = "dotted fusa",
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
        /// A breve.
        Breve = "breve",
        /// A dotted breve.
        DottedBreve = "dotted breve",
        /// A longer note.
        Longer = "longer note",
        /// A note of none of these lengths.
        Irregular = "irregular note",
        /// A rest of a semiminim or less.
        SemiminimRest = "semiminim rest",
        /// A minim's rest.
        MinimRest = "minim rest",
        /// A semibreve's rest.
        SemibreveRest = "semibreve rest",
        /// A breve's rest.
        BreveRest = "breve rest",
        /// A rest of two breves.
        TwoBrevesRest = "rest of two breves",
        /// A longer rest.
        LongerRest = "longer rest",
        /// A rest of none of these lengths.
        IrregularRest = "irregular rest",
    }
}

impl Length {
    /// The class of a length in ticks.
    pub(crate) fn of(length: i64, minim: i64, rest: bool) -> Length {
        let eighths = if (length * 8) % minim == 0 { length * 8 / minim } else { -1 };
        if rest {
            match eighths {
                1..=4 => Length::SemiminimRest,
                8 => Length::MinimRest,
                16 => Length::SemibreveRest,
                32 => Length::BreveRest,
                64 => Length::TwoBrevesRest,
                65.. => Length::LongerRest,
                _ => Length::IrregularRest,
            }
        } else {
            match eighths {
                0 | 1 => Length::Semifusa,
                2 => Length::Fusa,
                3 => Length::DottedFusa,
                4 => Length::Semiminim,
                6 => Length::DottedSemiminim,
                8 => Length::Minim,
                12 => Length::DottedMinim,
                16 => Length::Semibreve,
                24 => Length::DottedSemibreve,
                32 => Length::Breve,
                48 => Length::DottedBreve,
                49.. => Length::Longer,
                _ => Length::Irregular,
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_of_length() {
        use Length::{DottedMinim, Fusa, Irregular, Longer, Minim, MinimRest, Semibreve};
        let note = |eighths: i64| Length::of(eighths * 12, 96, false);
        assert_eq!([2, 8, 12, 16, 64].map(note), [Fusa, Minim, DottedMinim, Semibreve, Longer]);
        assert_eq!(Length::of(64, 96, false), Irregular);
        assert_eq!(Length::of(96, 96, true), MinimRest);
    }
}
