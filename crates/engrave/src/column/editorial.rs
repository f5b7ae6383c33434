//! Where an editor's accidental stands: above the staff, below it, or beside its note.

use super::enclosures::Enclosure;
use super::{AccidentalSign, Chord, y_of};

/// Of all notes of a staff that begin together, the highest has its editor's sign above the staff,
/// the lowest below it. Between them a sign would be read with another note: it stands beside its
/// own, in square brackets.
pub(super) fn place(chords: &mut [Chord]) {
    let places = || chords.iter().flat_map(|chord| chord.heads.iter().map(|head| head.place));
    let (Some(highest), Some(lowest)) = (places().max(), places().min()) else { return };
    for chord in chords {
        let above = chord.up || chord.alone;
        let (outside, beside): (Vec<_>, Vec<_>) = std::mem::take(&mut chord.editorial)
            .into_iter()
            .partition(|sign| sign.place == highest || sign.place == lowest);
        chord.editorial = outside;
        for sign in &mut chord.editorial {
            sign.above = if highest == lowest { above } else { sign.place == highest };
        }
        chord.accidentals.extend(beside.into_iter().map(|editorial| AccidentalSign {
            sign: editorial.sign,
            x: chord.x,
            y: y_of(editorial.place),
            enclosure: Some(Enclosure::Square),
        }));
    }
}
