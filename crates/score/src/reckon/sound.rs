//! What sounds where a note is printed: signature, signs, and how long a sign holds.

use rudiments::{Accidental, Pitch, Signature, Tone};

use crate::timed::Sounded;

/// The signs in force in a voice.
pub(crate) struct Sounding {
    /// The signature in force.
    pub(crate) signature: Signature,
    /// The notes of the event before, with the alteration that holds on for repetitions.
    before: Vec<(Tone, i8)>,
}

impl Sounding {
    pub(crate) fn new(signature: Signature) -> Sounding {
        Sounding { signature, before: Vec::new() }
    }

    /// What sounds of the next event; none of its notes for a rest.
    ///
    /// A printed sign holds for its note and its immediate repetitions: up to the next other note
    /// or rest. An editor's sign, small above the note, holds for that note alone. (Common
    /// practice.)
    pub(crate) fn event(
        &mut self,
        notes: impl Iterator<Item = (Tone, Option<Accidental>, Option<Accidental>)>,
    ) -> Vec<Sounded> {
        let before = std::mem::take(&mut self.before);
        notes
            .map(|(tone, printed, editorial)| {
                let signature = self.signature.alteration(tone.step);
                let held = before.iter().find(|(held, _)| *held == tone);
                let alteration = match printed {
                    Some(sign) => sign.alteration(tone.step, signature),
                    None => held.map_or(signature, |(_, alteration)| *alteration),
                };
                self.before.push((tone, alteration));
                let alteration =
                    editorial.map_or(alteration, |sign| sign.alteration(tone.step, signature));
                Sounded { pitch: Pitch::new(tone, alteration), printed, editorial }
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use rudiments::Step;

    use super::*;

    const F: Tone = Tone::new(Step::F, 4);
    const G: Tone = Tone::new(Step::G, 4);
    const SHARP: Option<Accidental> = Some(Accidental::Sharp);
    const FLAT: Option<Accidental> = Some(Accidental::Flat);

    fn sounds(notes: &[(Option<Tone>, Option<Accidental>, Option<Accidental>)]) -> String {
        let mut sounding = Sounding::new(Signature::NONE);
        let mut heard = Vec::new();
        for (tone, printed, editorial) in notes {
            let event = tone.map(|tone| (tone, *printed, *editorial));
            let notes = sounding.event(event.into_iter());
            heard.extend(notes.iter().map(|note| note.pitch.to_string()));
        }
        heard.join(" ")
    }

    #[test]
    fn a_printed_sign_holds_for_immediate_repetitions() {
        let heard = sounds(&[(Some(F), SHARP, None), (Some(F), None, None), (Some(F), None, None)]);
        assert_eq!(heard, "F#4 F#4 F#4");
    }

    #[test]
    fn another_note_or_a_rest_ends_it() {
        let other = sounds(&[(Some(F), SHARP, None), (Some(G), None, None), (Some(F), None, None)]);
        assert_eq!(other, "F#4 G4 F4");
        let rest = sounds(&[(Some(F), SHARP, None), (None, None, None), (Some(F), None, None)]);
        assert_eq!(rest, "F#4 F4");
    }

    #[test]
    fn an_editors_sign_holds_for_its_note_alone() {
        let heard = sounds(&[(Some(F), None, SHARP), (Some(F), None, None)]);
        assert_eq!(heard, "F#4 F4");
        let heard = sounds(&[(Some(F), SHARP, FLAT), (Some(F), None, None)]);
        assert_eq!(heard, "F4 F#4");
    }
}
