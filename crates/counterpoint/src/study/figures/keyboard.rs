//! What the keyboard is free to do with a dissonance.
//!
//! The notes of a run are judged by the first in each minim; a voice enters and falls silent as the
//! hand has fingers for it, so that another voice may end what it has begun (Santa María, the
//! treatise on the fantasia, 1565; from memory).

use crate::study::moments::{Moment, Moments, NoteRef, Sounding};
use crate::study::rules::Figure;
use crate::study::suspension::{discord, prepared};
use crate::texture::{Note, Texture};

/// The figure of a note that sounds at a moment, if it has one of these.
pub(super) fn of_keyboard(
    texture: &Texture,
    moments: &Moments,
    moment: &Moment<'_>,
    own: &Sounding,
) -> Option<Figure> {
    if !own.struck {
        let is_it = is_resolved_elsewhere(texture, moments, moment, own);
        return is_it.then_some(Figure::ResolvedElsewhere);
    }
    if is_in_run(texture, own.note) {
        return Some(Figure::Run);
    }
    is_taken_over(texture, moments, own.note).then_some(Figure::TakenOver)
}

/// Whether a note is a fusa, or shorter, and the one before it in the same minim is so too.
fn is_in_run(texture: &Texture, struck: NoteRef) -> bool {
    let note = struck.of(texture);
    let minim = note.measure.minim;
    let is_quick = |note: &Note| note.pitch.is_some() && 4 * (note.end - note.onset) <= minim;
    let before = struck.before().map(|before| before.of(texture));
    let beat = |note: &Note| (note.onset - texture.bounds[note.section as usize]).div_euclid(minim);
    is_quick(note) && before.is_some_and(|before| is_quick(before) && beat(before) == beat(note))
}

/// Whether a struck note, though a rest stands before or after it, is a passing note, neighbour or
/// anticipation together with the voice that falls silent as it enters, or enters as it ends.
fn is_taken_over(texture: &Texture, moments: &Moments, struck: NoteRef) -> bool {
    let note = struck.of(texture);
    let Some(own) = note.pitch else { return false };
    let steps = |other: NoteRef| Some(other.of(texture).pitch?.rung - own.rung);
    // A note of another voice with a rest, or nothing, on the side of this one.
    let others = |at: i64| {
        let moment = moments.at(at).into_iter();
        moment.flat_map(|moment| moment.sounding.iter()).map(|sounding| sounding.note)
    };
    let ends = |other: &NoteRef| {
        other.line != struck.line
            && other.of(texture).end == note.onset
            && other.of(texture).leave.is_none()
    };
    let begins = |other: &NoteRef| {
        other.line != struck.line
            && other.of(texture).onset == note.end
            && other.of(texture).come.is_none()
    };
    let nearest = |others: &mut dyn Iterator<Item = NoteRef>| -> Option<i16> {
        others.filter_map(steps).min_by_key(|steps| steps.abs())
    };
    let come = match note.come {
        Some(come) => Some(i16::from(come)),
        None => nearest(&mut others(note.onset - 1).filter(ends)).map(|steps| -steps),
    };
    let leave = match note.leave {
        Some(leave) => Some(i16::from(leave)),
        None => nearest(&mut others(note.end).filter(begins)),
    };
    let is_whole = note.come.is_some() && note.leave.is_some();
    !is_whole && matches!((come, leave), (Some(-1 | 1), Some(-1..=1)))
}

/// Whether a held note is suspended, but falls silent, and another voice strikes the note to which it
/// should go.
fn is_resolved_elsewhere(
    texture: &Texture,
    moments: &Moments,
    moment: &Moment<'_>,
    held: &Sounding,
) -> bool {
    let note = held.note.of(texture);
    let is_suspended = !held.struck
        && note.leave.is_none()
        && note.measure.rank(moment.at) < note.measure.rank(note.onset)
        && note.end - moment.at <= moment.at - note.onset
        && prepared(texture, moments, held.note).is_some();
    let resolves = |then: &Moment<'_>, other: &Sounding| {
        other.struck
            && other.height.rung == held.height.rung - 1
            && then.lowest().is_some_and(|lowest| discord(then, other, lowest).is_none())
    };
    let after = moments.at(note.end).filter(|then| then.at == note.end);
    is_suspended
        && after.is_some_and(|then| then.sounding.iter().any(|other| resolves(&then, other)))
}
