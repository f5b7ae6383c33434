//! What a line asks for by itself: one note above *la* is *fa*; no tritone that does not go on.
//!
//! Tinctoris, *Liber de natura et proprietate tonorum*, 1476, ch. 8; the rhyme "una nota supra la
//! semper est canendum fa" is later (Praetorius, *Syntagma musicum* III, 1619, has it); from memory.

use super::signs::Signs;
use super::{AccidentalReason, Doubt};
use crate::study::moments::NoteRef;

/// Proposes signs in all lines.
pub(super) fn propose(signs: &mut Signs<'_>) {
    for line in 0..signs.texture.lines.len() {
        for note in signs.notes(line) {
            fa_above_la(signs, note);
        }
        for note in signs.notes(line) {
            tritone(signs, note);
        }
    }
}

/// A note above *la* that turns back.
fn fa_above_la(signs: &mut Signs<'_>, note: NoteRef) {
    let (Some(before), Some(after)) = (note.before(), note.after(signs.texture)) else { return };
    let of = |signs: &Signs<'_>, note: NoteRef| signs.height(note);
    let (Some(la), Some(top), Some(back)) = (of(signs, before), of(signs, note), of(signs, after))
    else {
        return;
    };
    let turns = top.rung - la.rung == 1 && back.rung == la.rung;
    if turns && top.semitones - la.semitones == 2 && is_mi(signs, note) {
        signs.propose(note, -1, AccidentalReason::FaAboveLa, Some(Doubt::Open));
    }
}

/// Whether a note is the step that the next flat of its system lowers: B, with a flat E.
fn is_mi(signs: &Signs<'_>, note: NoteRef) -> bool {
    let Some(height) = signs.height(note) else { return false };
    let flats = -note.of(signs.texture).signature.fifths().unwrap_or(0);
    let mi = rudiments::Step::ALL[(6 + 3 * flats).rem_euclid(7) as usize];
    height.tone().step == mi && height.pitch().alteration == 0
}

/// A tritone between the ends of a run in one direction.
fn tritone(signs: &mut Signs<'_>, note: NoteRef) {
    let Some(from) = signs.height(note) else { return };
    let direction = note.of(signs.texture).leave.unwrap_or(0).signum();
    let came = note.of(signs.texture).come.unwrap_or(0).signum();
    if direction == 0 || came == direction {
        return;
    }
    let mut last = note;
    while last.of(signs.texture).leave.is_some_and(|leave| leave.signum() == direction) {
        let Some(next) = last.after(signs.texture) else { break };
        last = next;
    }
    let Some(to) = signs.height(last) else { return };
    let (steps, semitones) = (to.rung - from.rung, to.semitones - from.semitones);
    if (steps.abs(), semitones.abs()) != (3, 6) {
        return;
    }
    let mi = if is_mi(signs, last) { last } else { note };
    if is_mi(signs, mi) {
        signs.propose(mi, -1, AccidentalReason::TritoneInLine, Some(Doubt::Open));
    }
}
