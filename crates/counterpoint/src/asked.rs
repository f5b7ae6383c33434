//! A sign that the practice of singers asks for, printed or not.

/// A sign that is asked for at a note.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct AskedSign {
    /// By how many semitones it alters the note from what the signature makes of it.
    pub(crate) by: i16,
    pub(crate) why: Asked,
    /// What the print does with the other signs of this kind.
    pub(crate) others: Others,
}

/// Other notes that surely ask for a sign.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(crate) struct Others {
    /// So many have it.
    pub(crate) signed: u32,
    /// So many are left to the singers.
    pub(crate) plain: u32,
}

impl Others {
    /// How likely it is that one more is left to the singers, by Laplace's rule of succession.
    pub(crate) fn left(self) -> f64 {
        f64::from(self.plain + 1) / f64::from(self.signed + self.plain + 2)
    }
}

/// Why a sign is asked for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Asked {
    /// At the leading note of a cadence, and nothing speaks against it.
    Leading,
    /// The same, in a piece that leaves such signs to the singers.
    LeftLeading,
    /// There too, but something speaks against it.
    DoubtfulLeading,
    /// At the third of a last sonority.
    End,
    /// At a note above *la* that turns back.
    FaAboveLa,
    /// At the end of a tritone.
    Tritone,
    /// Over or under a false fifth.
    FalseFifth,
    /// In a sixth that opens to an octave, or a third that closes to a unison.
    Progression,
}

impl Asked {
    /// Whether nothing speaks against such a sign.
    pub(crate) fn is_certain(self) -> bool {
        matches!(self, Asked::Leading | Asked::End)
    }
}
