//! The rank of a moment in the tactus.

use crate::kinds::named;

named! {
    /// The longest value that a moment is a multiple of, counted from the beginning of its section.
    pub enum Rank {
        /// A breve.
        Breve = "on a breve",
        /// A semibreve.
        Semibreve = "on a semibreve",
        /// A minim.
        Minim = "on a minim",
        /// A semiminim.
        Semiminim = "on a semiminim",
        /// A fusa.
        Fusa = "on a fusa",
        /// Nothing of these.
        Less = "off the fusae",
    }
}

impl Rank {
    /// The rank of a moment, so many ticks after that from which the tactus is counted; a `minim`
    /// has so many ticks that a fusa's are whole. A breve has three semibreves if it is `perfect`,
    /// a semibreve three minims if it is of the `major` prolation.
    pub(crate) fn of(at: i64, minim: i64, perfect: bool, major: bool) -> Rank {
        // One division: this is asked for wherever two voices meet.
        let (fusae, rest) = (at * 4 / minim, at * 4 % minim);
        if rest != 0 {
            return Rank::Less;
        }
        let semibreve = if major { 12 } else { 8 };
        let breve = if perfect { semibreve * 3 } else { semibreve * 2 };
        match fusae.rem_euclid(breve) as u32 {
            0 => Rank::Breve,
            within if within % semibreve as u32 == 0 => Rank::Semibreve,
            within if within % 4 == 0 => Rank::Minim,
            within if within % 2 == 0 => Rank::Semiminim,
            _ => Rank::Fusa,
        }
    }
}

named! {
    /// Ranks as far as intervals are treated differently on them.
    pub enum Strength {
        /// A semibreve, or a breve.
        Semibreve = "on a semibreve",
        /// A minim.
        Minim = "on a minim",
        /// A semiminim.
        Semiminim = "on a semiminim",
        /// Less.
        Less = "off the semiminims",
    }
}

impl From<Rank> for Strength {
    fn from(rank: Rank) -> Strength {
        match rank {
            Rank::Breve | Rank::Semibreve => Strength::Semibreve,
            Rank::Minim => Strength::Minim,
            Rank::Semiminim => Strength::Semiminim,
            Rank::Fusa | Rank::Less => Strength::Less,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranks_in_the_tactus() {
        use Rank::{Breve, Fusa, Less, Minim, Semibreve, Semiminim};
        let at = |eighths: i64| Rank::of(eighths * 12, 96, false, false);
        let expected = [Breve, Breve, Semibreve, Minim, Semiminim, Fusa, Less];
        assert_eq!([0, 32, 16, 8, 4, 2, 1].map(at), expected);
        assert_eq!([24, 48, -8, -32].map(at), [Minim, Semibreve, Minim, Breve]);
    }

    /// Of three minims in a tactus, and of three semibreves in a breve, the first is strong (common
    /// practice).
    #[test]
    fn ranks_in_threes() {
        use Rank::{Breve, Minim, Semibreve};
        let at = |perfect, major| move |minims: i64| Rank::of(minims * 96, 96, perfect, major);
        let first_six = [0, 1, 2, 3, 4, 5, 6];
        assert_eq!(
            first_six.map(at(false, true)),
            [Breve, Minim, Minim, Semibreve, Minim, Minim, Breve]
        );
        assert_eq!(
            first_six.map(at(true, false)),
            [Breve, Minim, Semibreve, Minim, Semibreve, Minim, Breve]
        );
        assert_eq!([3, 6, 9, -9].map(at(true, true)), [Semibreve, Semibreve, Breve, Breve]);
    }
}
