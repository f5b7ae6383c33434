//! The third of a last sonority is major.
//!
//! A minor third ends less well than a major one (Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 31,
//! of the joyful and the sad; Diruta, *Il transilvano* II, 1609, asks for it at the keyboard; from
//! memory).

use super::AccidentalReason;
use super::signs::Signs;
use crate::study::moments::NoteRef;

/// Proposes the thirds of the last sonorities of all sections.
pub(super) fn propose(signs: &mut Signs<'_>) {
    let texture = signs.texture;
    let sections = texture.bounds.len().saturating_sub(1);
    for section in 0..sections {
        let end = texture.bounds[section + 1];
        let Some(moment) = signs.moments.at(end - 1) else { continue };
        let Some(lowest) = moment.lowest() else { continue };
        let thirds: Vec<NoteRef> = moment
            .sounding
            .iter()
            .filter(|other| {
                let (steps, semitones) = (
                    other.height.rung - lowest.height.rung,
                    other.height.semitones - lowest.height.semitones,
                );
                steps % 7 == 2 && semitones - steps / 7 * 12 == 3
            })
            .map(|other| other.note)
            .collect();
        for third in thirds {
            signs.propose(third, 1, AccidentalReason::ThirdAtEnd, None);
        }
    }
}
