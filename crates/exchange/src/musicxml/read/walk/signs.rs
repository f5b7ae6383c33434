//! Which alterations are the editor's: those that a sign over a note makes, or one before it that
//! says so; and those that such a sign makes for what comes after it in the measure.

use std::collections::HashMap;

use rudiments::{Accidental, Time, Tone};

use crate::musicxml::read::part::Event;

/// The sign that a note has in the file.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Sign {
    /// The editor's.
    Editorial,
    /// A printed one.
    Printed,
    /// None, though the signature does not alter it so: it has its alteration from before.
    FromBefore,
    /// None, and it needs none.
    Needless,
}

/// A note with its sign.
#[derive(Clone, Copy, Debug)]
pub(super) struct Signed {
    pub(super) onset: Time,
    pub(super) staff: u32,
    pub(super) tone: Tone,
    pub(super) alteration: i8,
    pub(super) sign: Sign,
    /// Where it is among the events of the part, and in its chord.
    pub(super) event: usize,
    pub(super) head: usize,
}

/// Marks what is the editor's among the notes of a measure.
///
/// A sign holds on its staff to the end of the measure, for all voices (common practice); so the
/// order is that of time, not that of the file, in which one voice follows another.
pub(super) fn mark(mut notes: Vec<Signed>, events: &mut [Event]) {
    notes.sort_by_key(|note| (note.onset, note.sign));
    let mut signs: HashMap<(u32, Tone), (i8, Sign)> = HashMap::new();
    for Signed { staff, tone, alteration, sign, event, head, .. } in notes {
        let place = (staff, tone);
        let before = signs.get(&place).copied();
        let editorial = match sign {
            Sign::Editorial => {
                // Where the sign before a note holds anyway, one over another changes nothing.
                if before != Some((alteration, Sign::Printed)) {
                    signs.insert(place, (alteration, sign));
                }
                true
            }
            Sign::Printed => {
                signs.insert(place, (alteration, sign));
                false
            }
            Sign::FromBefore => before == Some((alteration, Sign::Editorial)),
            Sign::Needless => false,
        };
        if editorial {
            events[event].heads[head].editorial = Accidental::of_alteration(alteration);
        }
    }
}
