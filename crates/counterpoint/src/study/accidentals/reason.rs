//! Why a sign is proposed.

use crate::kinds::named;

named! {
    /// Why a sign is proposed.
    pub enum AccidentalReason {
        /// The cantizans of a cadence goes a semitone up to the goal.
        Cadence = "leading note of a cadence",
        /// The lower neighbour of a raised leading note, or the step to it, which would else be
        /// augmented.
        Ornament = "beside a raised leading note",
        /// A sixth that opens to an octave is major.
        SixthToOctave = "a sixth that opens to an octave is major",
        /// A third that closes to a unison is minor.
        ThirdToUnison = "a third that closes to a unison is minor",
        /// One note above *la* that turns back is *fa*.
        FaAboveLa = "one note above la is fa",
        /// A tritone in a line that does not go on to its next step.
        TritoneInLine = "a tritone in the line",
        /// A false fifth above the lowest voice.
        FalseFifth = "a false fifth above the lowest voice",
        /// The third of a last sonority is major.
        ThirdAtEnd = "the third of a last sonority is major",
        /// The same note again, directly after one with a sign.
        Repeated = "the note before again",
    }
}
