//! What one of the strict species forbids, and others do not.
//!
//! Fux, *Gradus ad Parnassum*, 1725, I: no unison but at the beginning and the end, in the second and
//! third species none on the note of the cantus firmus; each species has its value, but for the bar
//! before the last. That no note is repeated: common practice of the school books. All from memory.

use super::Found;
use crate::study::moments::{Moments, NoteRef};
use crate::study::rules::{Rule, RuleSet};
use crate::study::species::{Exercises, Species};
use crate::texture::Note;

/// What each line that is counterpoint does against its species.
pub(super) fn find(exercises: &Exercises, moments: &Moments, found: &mut Found<'_>) {
    if found.rules != RuleSet::Species {
        return;
    }
    for (line, species) in exercises.lines.iter().enumerate() {
        if let Some(species) = species {
            values(exercises.value, line, *species, found);
            unisons(exercises, line, *species, moments, found);
        }
    }
}

/// Values that the species does not have, and notes that are struck again.
fn values(value: i64, line: usize, species: Species, found: &mut Found<'_>) {
    let texture = found.texture;
    let notes = &texture.lines[line].notes;
    let Some(last) = notes.iter().rfind(|note| note.pitch.is_some()) else { return };
    for (place, note) in notes.iter().enumerate().filter(|(_, note)| note.pitch.is_some()) {
        let own = NoteRef::new(line, place);
        let ticks = note.end - note.onset;
        let in_the_midst = note.onset < last.onset - value && place > 0;
        let is_repeated = note.come == Some(0);
        if is_repeated && !matches!(species, Species::First | Species::Fifth) {
            found.movement(Rule::RepeatedNote, note.onset, &[own]);
        }
        if in_the_midst && species.against_one().is_some_and(|number| ticks * number != value) {
            found.movement(Rule::OtherValue, note.onset, &[own]);
        }
        let is_struck = note.onset % value == 0;
        if in_the_midst && species == Species::Fourth && is_struck && !is_repeated {
            found.movement(Rule::BrokenLigature, note.onset, &[own]);
        }
    }
}

/// Unisons with the cantus firmus.
fn unisons(
    exercises: &Exercises,
    line: usize,
    species: Species,
    moments: &Moments,
    found: &mut Found<'_>,
) {
    if matches!(species, Species::Fourth | Species::Fifth) {
        return;
    }
    let texture = found.texture;
    let notes = &texture.lines[exercises.cantus].notes;
    let inner = notes.len().saturating_sub(1).max(1);
    for (place, note) in notes.iter().enumerate().take(inner).skip(1) {
        let Note { onset, pitch, .. } = *note;
        let Some(moment) = moments.at(onset) else { continue };
        let other = moment.of_line(line as u32).filter(|other| Some(other.height) == pitch);
        if let Some(other) = other {
            let own = NoteRef::new(exercises.cantus, place);
            found.movement(Rule::Unison, onset, &[own.min(other.note), own.max(other.note)]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{NOTHING, found, found_by};
    use crate::study::rules::RuleSet;

    const CANTUS: &str = "sb D4 F4 E4 D4 G4 F4 D4";

    fn of_species(rules: &str, upper: &str) -> Vec<String> {
        let found = found_by(RuleSet::Species, &[upper, CANTUS]).into_iter();
        found.filter(|found| found.ends_with(rules)).collect()
    }

    /// Fux, first to third species (from memory).
    #[test]
    fn unisons_in_the_midst() {
        let of = |upper: &str| of_species("unison", upper);
        assert_eq!(of("sb D4 F4 G4 A4 B4 A4 D4"), ["2: fault unison"]);
        assert_eq!(of("mn _ A4 F4 A4 G4 B4 A4 F4 G4 D4 A4 C5 sb D5").len(), 2);
        assert_eq!(of("mn _ A4 A4 F4 G4 B4 A4 F4 B4 G4 A4 C5 sb D5"), NOTHING);
    }

    /// In the midst of the second species a semibreve is none of its values; before the end it is.
    #[test]
    fn values_of_another_species() {
        let of = |upper: &str| of_species("other-value", upper);
        let second = "mn _ A4 D5 A4 G4 B4 A4 D5 B4 G4 A4 C5 sb D5";
        assert_eq!(of(second), NOTHING);
        assert_eq!(of(&second.replace("G4 B4", "sb G4 mn")), ["4: fault other-value"]);
        assert_eq!(of(&second.replace("A4 C5 sb D5", "sb A4 sb D5")), NOTHING);
    }

    #[test]
    fn notes_struck_again() {
        let of = |upper: &str| of_species("repeated-note", upper);
        assert_eq!(of("mn _ A4 A4 D5 G4 B4 A4 D5 B4 G4 A4 C5 sb D5"), ["2: fault repeated-note"]);
        assert_eq!(of("sb A4 A4 G4 A4 B4 A4 D5"), NOTHING);
    }

    #[test]
    fn broken_ligatures() {
        let of = |upper: &str| of_species("broken-ligature", upper);
        assert_eq!(of("mn _ sb D5 D5 C5 B4 D5 mn C5 sb D5"), NOTHING);
        assert_eq!(
            of("mn _ sb D5 mn A4 G4 sb B4 B4 D5 mn C5 sb D5"),
            ["4: remark broken-ligature"]
        );
    }

    /// What is free elsewhere: the same music by the rules of about 1560.
    #[test]
    fn only_the_strict_species_ask_for_them() {
        let upper = "mn _ A4 F4 A4 G4 B4 A4 F4 G4 D4 A4 C5 sb D5";
        assert!(found(&[upper, CANTUS]).iter().all(|found| !found.ends_with("unison")));
    }
}
