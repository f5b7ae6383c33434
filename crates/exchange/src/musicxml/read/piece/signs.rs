//! The signs that make notes sound as the file says.
//!
//! In a parts file a printed sign holds for its note and the immediate repetitions of it, and the
//! sharp makes *mi*, the flat *fa*; so not every alteration can be written on every step. One that
//! cannot is written on another step that sounds the same.

use notation::Note;
use rudiments::{Accidental, Pitch, Signature, Tone};

use crate::musicxml::read::part::Head;

/// The signs in force in a voice.
pub(super) struct Signs {
    pub(super) signature: Signature,
    /// The notes of the event before, with the alteration that holds on for repetitions.
    before: Vec<(Tone, i8)>,
}

impl Signs {
    pub(super) fn new(signature: Signature) -> Signs {
        Signs { signature, before: Vec::new() }
    }

    /// A rest ends what holds.
    pub(super) fn rest(&mut self) {
        self.before.clear();
    }

    /// The notes of an event as they are written, and whether one of them stands on another step
    /// than in the file.
    pub(super) fn event(&mut self, heads: &[Head]) -> (Vec<Note>, bool) {
        let before = std::mem::take(&mut self.before);
        let mut elsewhere = false;
        let notes = heads.iter().map(|head| {
            let spelled = self.spell(&before, head.pitch, head.editorial.is_some());
            let (note, holds) = spelled.unwrap_or_else(|| {
                elsewhere = true;
                self.on_another_step(&before, *head)
            });
            self.before.push((note.tone, holds));
            note
        });
        let notes = notes.collect();
        (notes, elsewhere)
    }

    /// A note with its sign, and the alteration that holds on from it; nothing if no sign makes
    /// its alteration.
    fn spell(&self, before: &[(Tone, i8)], pitch: Pitch, editorial: bool) -> Option<(Note, i8)> {
        let Pitch { tone, alteration } = pitch;
        let signature = self.signature.alteration(tone.step);
        let held = before.iter().find(|(held, _)| *held == tone);
        let unsigned = held.map_or(signature, |(_, alteration)| *alteration);
        let plain = Note { tone, printed: None, editorial: None };
        if alteration == unsigned && !editorial {
            return Some((plain, unsigned));
        }
        let sign = Accidental::of_alteration(alteration)
            .filter(|sign| sign.alteration(tone.step, signature) == alteration)?;
        Some(if editorial {
            (Note { editorial: Some(sign), ..plain }, unsigned)
        } else {
            (Note { printed: Some(sign), ..plain }, alteration)
        })
    }

    /// A note on the nearest step on which its key can be written.
    fn on_another_step(&self, before: &[(Tone, i8)], head: Head) -> (Note, i8) {
        let Head { pitch, editorial, .. } = head;
        let key = pitch.key_number();
        let other = |steps: i32| {
            let tone = pitch.tone.up(steps);
            let alteration = i8::try_from(key - Pitch::new(tone, 0).key_number()).ok()?;
            let there = (0..=9).contains(&tone.octave);
            self.spell(before, Pitch::new(tone, alteration), editorial.is_some()).filter(|_| there)
        };
        [1, -1, 2, -2].into_iter().find_map(other).unwrap_or_else(|| {
            // No usual signature comes to this.
            let natural = Some(Accidental::Natural);
            (Note { tone: pitch.tone, printed: natural, editorial: None }, 0)
        })
    }
}

#[cfg(test)]
mod tests {
    use rudiments::Step;

    use super::*;

    /// `F#4 F4`, with `[#]` for the editor's.
    fn written(signature: &str, pitches: &[(Step, i8, bool)]) -> String {
        let mut signs = Signs::new(Signature::parse(signature).unwrap());
        let words = pitches.iter().map(|(step, alteration, editorial)| {
            let pitch = Pitch::new(Tone::new(*step, 4), *alteration);
            let editorial = editorial.then_some(Accidental::Sharp);
            let (notes, _) = signs.event(&[Head { pitch, editorial, tied: false }]);
            let Note { tone, printed, editorial } = notes[0];
            let letter = |sign: Option<Accidental>| sign.map(Accidental::letter);
            let editorial = letter(editorial).map_or(String::new(), |sign| format!("[{sign}]"));
            let printed = letter(printed).map_or(String::new(), String::from);
            format!("{}{printed}{editorial}{}", tone.step, tone.octave)
        });
        words.collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn a_sign_holds_for_repetitions() {
        use Step::{F, G};
        let notes = [(F, 1, false), (F, 1, false), (F, 0, false), (F, 0, false), (G, 0, false)];
        assert_eq!(written("none", &notes), "F#4 F4 Fn4 F4 G4");
        let notes = [(F, 1, false), (G, 0, false), (F, 0, false)];
        assert_eq!(written("none", &notes), "F#4 G4 F4");
    }

    #[test]
    fn what_the_signature_says_needs_no_sign() {
        use Step::{B, F};
        assert_eq!(written("Bb", &[(B, -1, false), (B, 0, false), (B, -1, false)]), "B4 Bn4 Bb4");
        assert_eq!(written("F#", &[(F, 1, false), (F, 0, false)]), "F4 Fn4");
    }

    #[test]
    fn an_editors_sign_holds_for_its_note() {
        use Step::F;
        assert_eq!(
            written("none", &[(F, 1, true), (F, 1, false), (F, 0, true)]),
            "F[#]4 F#4 F[n]4"
        );
        assert_eq!(written("none", &[(F, 1, false), (F, 1, true), (F, 1, false)]), "F#4 F[#]4 F4");
    }

    #[test]
    fn another_step_sounds_the_same() {
        use Step::{B, C, E, F};
        assert_eq!(written("none", &[(E, 1, false), (F, -1, false)]), "F4 E4");
        assert_eq!(written("none", &[(B, 1, false), (C, -1, false)]), "C5 B3");
        assert_eq!(written("Bb", &[(B, 1, false)]), "C4".replace('4', "5"));
        assert_eq!(written("none", &[(F, 2, false), (B, -2, false)]), "G4 A4");
    }

    /// Under every usual signature, all that is written sounds as it should.
    #[test]
    fn every_key_can_be_written() {
        for fifths in -7..=7 {
            for step in Step::ALL {
                for alteration in -2..=2 {
                    for held in [None, Some(-1), Some(0), Some(1)] {
                        for editorial in [None, Some(Accidental::Sharp)] {
                            let signature = Signature::of_fifths(fifths);
                            let mut signs = Signs::new(signature);
                            let tone = Tone::new(step, 4);
                            signs.before.extend(held.map(|held| (tone, held)));
                            let pitch = Pitch::new(tone, alteration);
                            let (notes, _) = signs.event(&[Head { pitch, editorial, tied: false }]);
                            let note = notes[0];
                            let of_step = signature.alteration(note.tone.step);
                            let unsigned = held.filter(|_| note.tone == tone).unwrap_or(of_step);
                            let sign = note.editorial.or(note.printed);
                            let heard = sign
                                .map_or(unsigned, |sign| sign.alteration(note.tone.step, of_step));
                            let heard = Pitch::new(note.tone, heard).key_number();
                            assert_eq!(heard, pitch.key_number(), "{fifths} {pitch} {held:?}");
                        }
                    }
                }
            }
        }
    }
}
