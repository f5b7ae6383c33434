//! Where an editor's accidental stands: above the staff, or before its note.

use rudiments::Place;

use super::enclosures::Enclosure;
use super::{AccidentalSign, Chord, y_of};

/// The sign of the highest note that sounds on a staff stands above it, where it can be no other's.
/// Anywhere else it would be read with another note, below the staff with one of the left hand: it
/// stands small before its own, in square brackets (common practice of editions).
///
/// `sounding` has, for each voice, its lowest and its highest place.
pub(super) fn place(chords: &mut [Chord], sounding: &[(usize, Place, Place)]) {
    let highest = sounding.iter().map(|(_, _, high)| *high).max();
    let mut taken = false;
    for chord in chords {
        let (above, before): (Vec<_>, Vec<_>) = std::mem::take(&mut chord.editorial)
            .into_iter()
            .partition(|sign| Some(sign.place) == highest);
        // Two voices that meet there have it once.
        chord.editorial = if taken { Vec::new() } else { above };
        taken |= !chord.editorial.is_empty();
        chord.accidentals.extend(before.into_iter().map(|editorial| AccidentalSign {
            sign: editorial.sign,
            x: chord.x,
            y: y_of(editorial.place),
            enclosure: Some(Enclosure::Square),
        }));
    }
}
