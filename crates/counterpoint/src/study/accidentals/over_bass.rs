//! A false fifth above the lowest voice.

use super::signs::Signs;
use super::{AccidentalReason, Doubt};
use crate::dyad::{Discord, Dyad};
use crate::study::moments::Moment;

/// Proposes a flat in the lowest voice where another stands a false fifth above it, or one in the
/// other voice.
pub(super) fn propose(signs: &mut Signs<'_>) {
    let moments = signs.moments;
    for moment in moments.iter() {
        at(signs, &moment);
    }
}

fn at(signs: &mut Signs<'_>, moment: &Moment<'_>) {
    let Some(lowest) = moment.lowest() else { return };
    for other in moment.sounding {
        let steps = other.height.rung - lowest.height.rung;
        let is_false = signs.dyad(moment.at, lowest.note, other.note)
            == Some(Dyad::Discord(Discord::Tritone))
            && steps % 7 == 4;
        if !is_false || !(lowest.struck || other.struck) {
            continue;
        }
        // It is treated if each voice goes on by a step inward.
        let leaves = |note: crate::study::moments::NoteRef| note.of(signs.texture).leave;
        if (leaves(lowest.note), leaves(other.note)) == (Some(1), Some(-1)) {
            continue;
        }
        signs.propose(lowest.note, -1, AccidentalReason::FalseFifth, Some(Doubt::Open));
    }
}
