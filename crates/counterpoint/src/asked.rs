//! A sign that the practice of singers asks for, printed or not.

/// A sign that is asked for at a note.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct AskedSign {
    /// By how many semitones it alters the note from what the signature makes of it.
    pub(crate) by: i16,
    pub(crate) why: Asked,
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
