//! Plagal endings: what follows a last cadence, and is none of its own.

use rudiments::Time;

use super::Cadence;
use crate::study::moments::{Moment, Moments, minims};
use crate::texture::Texture;

/// Minims within which a piece ends after its last cadence: two breves.
const WITHIN: i64 = 8;

/// Marks the last cadence of a piece, if the lowest voice falls a fourth or rises a fifth to the end
/// while a voice keeps the goal (common practice).
pub(super) fn mark(cadences: &mut [Cadence], texture: &Texture, moments: &Moments) {
    let Some(last) = cadences.last_mut().filter(|cadence| !cadence.is_evaded()) else { return };
    let strikes = |moment: &Moment<'_>| moment.sounding.iter().any(|one| one.struck);
    let Some(end) = moments.iter().rev().find(strikes) else { return };
    let (Some(lowest), Some(before)) = (end.lowest(), moments.at(end.at - 1)) else { return };
    let Some(before) = before.lowest() else { return };
    let at = minims(texture, end.at);
    let follows = last.at < at && at <= last.at + Time::minims(WITHIN);
    let falls = matches!(lowest.height.rung - before.height.rung, -3 | 4);
    let keeps = end
        .sounding
        .iter()
        .any(|one| i32::from(one.height.rung).rem_euclid(7) == last.goal.tone.rung().rem_euclid(7));
    if follows && falls && keeps {
        last.plagal = Some(at);
    }
}
