//! Editorial accidentals: the signs that singers of the time knew without seeing them, with reasons.
//!
//! Why and where: Tinctoris, *Liber de natura et proprietate tonorum*, 1476, ch. 8 (the tritone, and
//! *fa* above *la*); Aron, *Toscanello*, 1523 and its supplement of 1529 (the signs that should be
//! printed); Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 38 (the sixth before the octave and the
//! third before the unison) and ch. 53 (the cadence); from memory.
//!
//! The rules are tried in order, and a note has the sign of the first that asks for one. A sign is
//! *certain* if nothing speaks against it; only such signs are heard by the rules that follow.

mod at_cadences;
mod at_ends;
mod doubt;
mod in_lines;
mod opening;
mod over_bass;
mod reason;
mod signs;

use notation::Piece;
use rudiments::{Accidental, Pitch, Time};
use score::Score;

pub use doubt::Doubt;
pub use reason::AccidentalReason;

use super::cadences::Cadence;
use super::moments::Moments;
use crate::observe::EventId;
use crate::texture::Texture;
use signs::Signs;

/// A sign that is proposed for a note.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ProposedAccidental {
    /// The note.
    pub event: EventId,
    /// When it begins, in minims from the beginning of the piece.
    pub at: Time,
    /// The sign: a sharp makes *mi*, a flat *fa*, as in a parts file.
    pub sign: Accidental,
    /// What then sounds.
    pub pitch: Pitch,
    /// Why.
    pub reason: AccidentalReason,
    /// What speaks against it; nothing if it is certain.
    pub doubt: Option<Doubt>,
}

impl ProposedAccidental {
    /// Whether nothing speaks against it.
    pub fn is_certain(&self) -> bool {
        self.doubt.is_none()
    }

    /// In a sentence for people: `bar 3, Cantus 7: C#5, leading note of a cadence`. Events are called
    /// by their numbers in the source; `score` is what was studied.
    pub fn sentence(&self, score: &Score) -> String {
        let voice = score.voices.get(self.event.voice);
        let event = voice.and_then(|voice| voice.events.get(self.event.event));
        let index = event.and_then(|event| event.index);
        let index = index.map_or_else(String::new, |index| format!(" {index}"));
        let name = voice.map_or("", |voice| voice.name.as_str());
        let bar = score.bar_at(self.at).map_or(0, |bar| bar.number);
        let doubt = self.doubt.map_or_else(String::new, |doubt| format!("; but {}", doubt.name()));
        format!("bar {bar}, {name}{index}: {}, {}{doubt}", self.pitch, self.reason.name())
    }
}

/// The signs that are proposed for a piece whose cadences are these, in order of time, at one moment
/// by voices, top voice first.
pub fn of(piece: &Piece, score: &Score, cadences: &[Cadence]) -> Vec<ProposedAccidental> {
    let texture = Texture::new(piece, score);
    let moments = Moments::new(&texture);
    accidentals(&texture, &moments, cadences)
}

/// The signs that are proposed.
pub(crate) fn accidentals(
    texture: &Texture,
    moments: &Moments,
    cadences: &[Cadence],
) -> Vec<ProposedAccidental> {
    let mut signs = Signs::new(texture, moments);
    at_cadences::propose(&mut signs, cadences);
    opening::propose(&mut signs);
    in_lines::propose(&mut signs);
    over_bass::propose(&mut signs);
    at_ends::propose(&mut signs);
    signs.repeat();
    signs.proposed()
}

#[cfg(test)]
mod tests;
