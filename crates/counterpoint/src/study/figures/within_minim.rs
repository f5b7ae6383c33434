//! A suspension within a weak minim.
//!
//! Against a dotted minim another voice steps, on its dot, to a fourth or seventh under it, and the
//! dotted note goes a step down within the minim, as if it were suspended; but it has begun on a
//! stronger place than that of the dissonance, so that it is no syncopation. The madrigals of the
//! open data have it; the books leave it out (common practice of the light styles).

use crate::study::moments::{Moment, Moments, Sounding};
use crate::study::suspension::{Numbers, prepared, repeated, resolves};
use crate::texture::Texture;

/// Whether a note is held, or struck again, into a weak minim against another that comes by step, and
/// goes a step down within that minim.
pub(super) fn is_within_minim(
    texture: &Texture,
    moments: &Moments,
    moment: &Moment<'_>,
    own: &Sounding,
    with: &Sounding,
) -> bool {
    let (held, struck) = (own.note.of(texture), with.note.of(texture));
    let first = if own.struck { repeated(texture, own.note) } else { Some(own.note) };
    let (Some(first), Some(resolved)) = (first, own.note.after(texture)) else { return false };
    let (begun, minim) = (first.of(texture), held.measure.minim);
    let is_in_place = begun.measure.rank(begun.onset) < held.measure.rank(moment.at)
        && moment.at - begun.onset >= minim
        && 2 * (held.end - moment.at) <= minim
        && 2 * (struck.end - moment.at) >= minim;
    let voices = moment.sounding.len();
    with.struck
        && matches!(struck.come, Some(-1 | 1))
        && held.leave == Some(-1)
        && is_in_place
        && Numbers::of(own.height, with.height).is_some_and(|numbers| numbers.is_regular(voices))
        && resolves(moments, own, with, (resolved, held.end))
        && prepared(texture, moments, first).is_some()
}
