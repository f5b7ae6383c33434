//! Stems of what stands alone on a staff: notes on and above the middle line have them down, others
//! up; what hangs together goes by its farthest note (Ross, Gould, from memory).

use rudiments::Place;

use super::super::{Segment, Staff, Stem};

/// The middle line of the staff.
const MIDDLE_LINE: Place = 6;

/// The side for notes that have one stem or one beam, in a bar.
pub(super) fn side<'s>(
    segments: impl IntoIterator<Item = &'s Segment>,
    (staff, bar): (&Staff, usize),
) -> Stem {
    let notes = segments.into_iter().flat_map(|segment| &segment.notes);
    let distances = notes.map(|note| staff.place_of(note.pitch.tone, bar) - MIDDLE_LINE);
    // Of two that are as far, the higher one counts.
    let farthest = distances.max_by_key(|distance| (distance.abs(), *distance));
    if farthest.is_some_and(|distance| distance < 0) { Stem::Up } else { Stem::Down }
}
