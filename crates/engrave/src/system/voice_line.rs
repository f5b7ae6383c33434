//! What a voice has in a system, at its final places.

use crate::column::{Chord, Ledger, RestSign, Silence};
use crate::units::Sp;

/// The notes and rests of a voice in a system, in order of time; all `x` count from the left end
/// of the system.
#[derive(Default)]
pub(crate) struct VoiceLine {
    pub(crate) chords: Vec<Chord>,
    pub(crate) rests: Vec<PlacedRest>,
    /// Ledger lines, each with its staff.
    pub(crate) ledgers: Vec<(usize, Ledger)>,
}

/// A rest at its place.
pub(crate) struct PlacedRest {
    pub(crate) rest: RestSign,
    pub(crate) x: Sp,
}

/// A rest of a staff at its place.
pub(crate) struct PlacedSilence {
    pub(crate) staff: usize,
    pub(crate) x: Sp,
    pub(crate) rest: Silence,
}
