//! Modern note values.

use rudiments::Quarters;

/// A modern note value, from the maxima (eight whole notes) to the 1024th.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct NoteValue(i8);

impl NoteValue {
    /// The longest: eight whole notes.
    pub const MAXIMA: NoteValue = NoteValue(3);
    /// Two whole notes.
    pub const BREVE: NoteValue = NoteValue(1);
    /// The whole note.
    pub const WHOLE: NoteValue = NoteValue(0);
    /// The half note.
    pub const HALF: NoteValue = NoteValue(-1);
    /// The quarter.
    pub const QUARTER: NoteValue = NoteValue(-2);
    /// The eighth.
    pub const EIGHTH: NoteValue = NoteValue(-3);
    /// The shortest: the 1024th.
    pub const SHORTEST: NoteValue = NoteValue(-10);
    /// Flags of the shortest note.
    pub const MOST_FLAGS: usize = 8;

    /// The value of `2^power` whole notes, where there is one.
    pub fn of_power(power: i32) -> Option<NoteValue> {
        let range = NoteValue::SHORTEST.power()..=NoteValue::MAXIMA.power();
        range.contains(&power).then_some(NoteValue(power as i8))
    }

    /// Its length in whole notes is two to this power.
    pub fn power(self) -> i32 {
        self.0 as i32
    }

    /// How many flags its stem carries, or beams it is drawn with.
    pub fn flags(self) -> usize {
        (NoteValue::QUARTER.power() - self.power()).max(0) as usize
    }

    /// Whether it is drawn with a stem.
    pub fn has_stem(self) -> bool {
        self <= NoteValue::HALF
    }

    /// Its length in quarter notes.
    pub fn quarters(self) -> Quarters {
        let power = self.power() + 2;
        if power >= 0 { Quarters::whole(1 << power) } else { Quarters::new(1, 1 << -power) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice: the eighth has one flag; whole notes have no stem.
    #[test]
    fn stems_and_flags() {
        assert_eq!(NoteValue::HALF.flags(), 0);
        assert_eq!(NoteValue::EIGHTH.flags(), 1);
        assert_eq!(NoteValue::SHORTEST.flags(), NoteValue::MOST_FLAGS);
        assert!(NoteValue::HALF.has_stem() && !NoteValue::WHOLE.has_stem());
    }

    #[test]
    fn lengths_in_quarters() {
        assert_eq!(NoteValue::BREVE.quarters(), Quarters::whole(8));
        assert_eq!(NoteValue::EIGHTH.quarters(), Quarters::new(1, 2));
        assert_eq!(NoteValue::of_power(4), None);
    }
}
