//! The natural place of values in the tactus.
//!
//! A value naturally begins where a longer one could: a semibreve on the first or second half of
//! the breve, a minim on a minim's place, and so on; values that begin elsewhere are syncopated
//! (Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 49, on syncopation; from memory).

/// The number of classes of length: thirteen of notes, seven of rests.
pub(crate) const LENGTHS: usize = 20;

/// The number of places in the tactus.
pub(crate) const PLACES: usize = 6;

/// The class of a length, from 0; notes below 13, rests from there.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Length(u8);

impl Length {
    /// Its number.
    pub(crate) fn number(self) -> usize {
        self.0 as usize
    }

    /// A coarser number, below [`COARSE`].
    pub(crate) fn coarse(self) -> usize {
        [0, 0, 0, 1, 2, 3, 4, 5, 6, 7, 7, 7, 8, 9, 9, 10, 10, 10, 10, 8][self.0 as usize]
    }
}

/// The number of coarse classes of length.
pub(crate) const COARSE: usize = 11;

/// The class of a length in ticks.
///
/// Notes: up to a semifusa, fusa, dotted fusa, semiminim, dotted semiminim, minim, dotted minim,
/// semibreve, dotted semibreve, breve, dotted breve, longer, none of these. Rests: up to a
/// semiminim, minim, semibreve, breve, two, longer, none of these.
pub(crate) fn length_class(length: i64, minim: i64, rest: bool) -> Length {
    let eighths = if (length * 8) % minim == 0 { length * 8 / minim } else { -1 };
    Length(if rest {
        match eighths {
            1..=4 => 13,
            8 => 14,
            16 => 15,
            32 => 16,
            64 => 17,
            65.. => 18,
            _ => 19,
        }
    } else {
        match eighths {
            0 | 1 => 0,
            2 => 1,
            3 => 2,
            4 => 3,
            6 => 4,
            8 => 5,
            12 => 6,
            16 => 7,
            24 => 8,
            32 => 9,
            48 => 10,
            49.. => 11,
            _ => 12,
        }
    })
}

/// The place of a moment in the tactus: 0 on a breve, 1 on a semibreve, 2 on a minim, 3 on a
/// semiminim, 4 on a fusa, 5 on nothing of these. The moment is counted from the beginning of its
/// section.
pub(crate) fn place(at: i64, minim: i64) -> usize {
    // A minim has ticks enough for all of these to be whole.
    let quarters = (at % (minim * 4)).abs() * 4;
    if quarters % minim != 0 {
        return PLACES - 1;
    }
    match quarters / minim {
        0 => 0,
        8 => 1,
        4 | 12 => 2,
        even if even % 2 == 0 => 3,
        _ => 4,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_in_the_tactus() {
        let at = |eighths: i64| place(eighths * 12, 96);
        assert_eq!([0, 32, 16, 8, 4, 2, 1].map(at), [0, 0, 1, 2, 3, 4, 5]);
        assert_eq!([24, 48, -8, -32].map(at), [2, 1, 2, 0]);
    }

    #[test]
    fn classes_of_length() {
        let note = |eighths: i64| length_class(eighths * 12, 96, false).number();
        assert_eq!([1, 2, 4, 6, 8, 12, 16, 24, 32, 64].map(note), [0, 1, 3, 4, 5, 6, 7, 8, 9, 11]);
        assert_eq!(length_class(64, 96, false).number(), 12);
        assert_eq!(length_class(96, 96, true).number(), 14);
    }
}
