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
    /// The rank of a moment, so many ticks after the beginning of its section; a `minim` has so
    /// many ticks that a fusa's are whole.
    pub(crate) fn of(at: i64, minim: i64) -> Rank {
        // One division: this is asked for wherever two voices meet.
        let (fusae, rest) = (at * 4 / minim, at * 4 % minim);
        if rest != 0 {
            return Rank::Less;
        }
        match fusae.rem_euclid(16) {
            0 => Rank::Breve,
            8 => Rank::Semibreve,
            4 | 12 => Rank::Minim,
            even if even % 2 == 0 => Rank::Semiminim,
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
        let at = |eighths: i64| Rank::of(eighths * 12, 96);
        let expected = [Breve, Breve, Semibreve, Minim, Semiminim, Fusa, Less];
        assert_eq!([0, 32, 16, 8, 4, 2, 1].map(at), expected);
        assert_eq!([24, 48, -8, -32].map(at), [Minim, Semibreve, Minim, Breve]);
    }
}
