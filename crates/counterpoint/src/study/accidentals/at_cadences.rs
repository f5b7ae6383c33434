//! The cantizans of a cadence goes up to the goal by a semitone, unless the tenorizans falls by one.
//!
//! Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 53: in the cadence singers raise it by nature,
//! signed or not (from memory).

use super::AccidentalReason;
use super::signs::{BEFORE, Signs};
use crate::study::cadences::Cadence;
use crate::study::moments::NoteRef;
use crate::texture::Height;

/// Proposes the leading notes of all cadences.
pub(super) fn propose(signs: &mut Signs<'_>, cadences: &[Cadence]) {
    for cadence in cadences {
        let goal = cadence.goal.tone.rung() as i16;
        let way: Vec<NoteRef> = cadence
            .leading
            .iter()
            .filter_map(|event| NoteRef::of_event(signs.texture, *event))
            .collect();
        if cadence.phrygian {
            let roles = [cadence.roles.tenorizans, cadence.roles.cantizans];
            let partner = roles
                .into_iter()
                .flatten()
                .filter_map(|event| NoteRef::of_event(signs.texture, event));
            let notes: Vec<NoteRef> = way.into_iter().chain(partner).collect();
            for note in notes {
                signs.settle(note);
            }
            continue;
        }
        let goal_sounds = cadence.goal.key_number() as i16;
        let steps = |signs: &Signs<'_>, note: NoteRef| {
            let height = signs.height(note)?;
            Some((height.rung - goal, height.semitones - goal_sounds))
        };
        for note in &way {
            if steps(signs, *note) == Some((-1, -2)) {
                leading_note(signs, cadence, &way, *note);
            }
        }
    }
}

/// Raises a leading note and, so that no step is augmented, the lower neighbours between which it
/// stands.
fn leading_note(signs: &mut Signs<'_>, cadence: &Cadence, way: &[NoteRef], note: NoteRef) {
    let Some(height) = signs.height(note) else { return };
    let raised = Height { semitones: height.semitones + 1, ..height };
    // A cadence without a suspension stands at an end: what was heard before it, is over.
    let before = if cadence.suspension.is_some() { BEFORE } else { 0 };
    let natural = signs.natural(note, raised, before);
    for beside in [note.before(), note.after(signs.texture)].into_iter().flatten() {
        let is_lower = signs.height(beside).is_some_and(|beside| {
            (beside.rung - height.rung, beside.semitones - height.semitones) == (-1, -2)
        });
        if is_lower && way.contains(&beside) {
            let reason = AccidentalReason::Ornament;
            signs.propose_unless(beside, 1, reason, |signs, sounds| {
                natural.or_else(|| signs.natural(beside, sounds, 0))
            });
        }
    }
    signs.propose_unless(note, 1, AccidentalReason::Cadence, |signs, sounds| {
        natural.or_else(|| signs.augmented_step(note, sounds))
    });
}
