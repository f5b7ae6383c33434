//! A sixth that opens to an octave is major, a third that closes to a unison minor.
//!
//! Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 38: from the imperfect consonance one goes to the
//! perfect one that is nearest, and a semitone makes it so (from memory). Where it is no cadence it is
//! left open.

use super::signs::Signs;
use super::{AccidentalReason, Doubt};
use crate::study::moments::{Moment, NoteRef, Sounding};

/// Proposes signs where two voices open to an octave or close to a unison by steps.
pub(super) fn propose(signs: &mut Signs<'_>) {
    let moments = signs.moments;
    for moment in moments.iter() {
        for (rising, falling) in steps_to_unison(signs, &moment) {
            sharpen(signs, rising, falling);
        }
    }
}

/// Pairs of notes, struck together, from which one voice goes up a step and the other down to the
/// same tone.
fn steps_to_unison(signs: &Signs<'_>, moment: &Moment<'_>) -> Vec<(NoteRef, NoteRef)> {
    let come = |one: &Sounding| one.note.of(signs.texture).come;
    let struck = || moment.sounding.iter().filter(|one| one.struck);
    let mut found = Vec::new();
    let falling: Vec<&Sounding> = struck().filter(|one| come(one) == Some(-1)).collect();
    for rising in struck().filter(|one| come(one) == Some(1)) {
        let meets = |other: &&&Sounding| (other.height.rung - rising.height.rung) % 7 == 0;
        let Some(falling) = falling.iter().find(meets) else { continue };
        if let (Some(one), Some(other)) = (rising.note.before(), falling.note.before()) {
            found.push((one, other));
        }
    }
    found
}

fn sharpen(signs: &mut Signs<'_>, rising: NoteRef, falling: NoteRef) {
    let (Some(one), Some(other)) = (signs.height(rising), signs.height(falling)) else { return };
    let opens = one.rung > other.rung;
    let (steps, semitones) =
        ((one.rung - other.rung).abs(), (one.semitones - other.semitones).abs());
    let semitones = semitones - steps / 7 * 12;
    let is_strong = {
        let goal = rising.after(signs.texture).map(|goal| goal.of(signs.texture));
        goal.is_some_and(|goal| goal.end - goal.onset >= 2 * signs.texture.minim)
    };
    let doubt = Some(Doubt::Open);
    match (opens, steps % 7, semitones) {
        (true, 5, 8) if is_strong => {
            signs.propose(rising, 1, AccidentalReason::SixthToOctave, doubt);
        }
        (false, 2, 4) if is_strong => {
            signs.propose(rising, 1, AccidentalReason::ThirdToUnison, doubt);
        }
        _ => {}
    }
}
