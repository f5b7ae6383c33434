//! False relations: the same step with two signs in two voices, together or with at most a minim
//! between (Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 30; from memory).

use super::Found;
use crate::study::moments::NoteRef;
use crate::study::rules::Rule;
use crate::texture::{Height, Note, Texture};

/// A note that sounded not long ago.
#[derive(Clone, Copy)]
struct Recent {
    note: NoteRef,
    height: Height,
    end: i64,
}

/// False relations, each note with what another voice had last of its step.
pub(super) fn find(found: &mut Found<'_>) {
    let texture = found.texture;
    // For each step of the scale what each line had last.
    let mut recent: Vec<Vec<Option<Recent>>> = vec![vec![None; texture.lines.len()]; 7];
    for note in in_order(texture) {
        let Note { onset, end, pitch, .. } = *note.of(texture);
        let Some(height) = pitch else { continue };
        let of_step = &mut recent[height.rung.rem_euclid(7) as usize];
        let differs = |other: &&Recent| {
            other.note.line != note.line
                && other.end + texture.minim >= onset
                && (height.semitones - other.height.semitones) % 12 != 0
        };
        let last = of_step.iter().flatten().filter(differs).max_by_key(|other| other.end);
        if let Some(other) = last {
            let notes = [note.min(other.note), note.max(other.note)];
            found.movement(Rule::FalseRelation, onset, &notes);
        }
        of_step[note.line as usize] = Some(Recent { note, height, end });
    }
}

/// All notes by their onsets; of one moment, top voice first.
fn in_order(texture: &Texture) -> Vec<NoteRef> {
    let lines = texture.lines.iter().enumerate();
    let mut notes: Vec<NoteRef> = lines
        .flat_map(|(line, of)| (0..of.notes.len()).map(move |note| NoteRef::new(line, note)))
        .filter(|note| note.of(texture).pitch.is_some())
        .collect();
    notes.sort_by_key(|note| (note.of(texture).onset, *note));
    notes
}

#[cfg(test)]
mod tests {
    use super::super::testing::{NOTHING, found};

    #[test]
    fn one_step_with_two_signs() {
        assert_eq!(found(&["sb A4 C#5", "sb C4 E4"]), ["2: remark false-relation"]);
        assert_eq!(found(&["sb A4 _ C#5", "sb C4 F4 E4"]), NOTHING);
    }

    #[test]
    fn a_voice_has_none_with_itself() {
        assert_eq!(found(&["mn C5 B4 C#5 D5", "br _"]), NOTHING);
    }
}
