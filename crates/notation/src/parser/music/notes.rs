//! The tone of a note, by the clef in force.

use rudiments::{Sign, Step, Tone};

use crate::parser::Parser;
use crate::parser::state::bare_letter;
use crate::words::{HeadWord, PlaceWord};
use crate::{Code, Diagnostic, Note, Span, Voice};

impl Parser<'_> {
    pub(super) fn note(&mut self, voice: usize, span: Span, head: HeadWord) -> Option<Note> {
        let tone = self.tone(voice, span, head.place)?;
        Some(Note { tone, printed: head.printed, editorial: head.editorial })
    }

    /// The tone of a letter or position under the clef in force.
    pub(super) fn tone(&mut self, voice: usize, span: Span, place: PlaceWord) -> Option<Tone> {
        self.mixed(voice, span, place);
        let now = self.states[voice].now;
        let Some(clef) = now.clef else {
            self.no_clef(voice);
            // The notes are still read, by their octaves or as near as can be.
            let near = now.previous.unwrap_or(Tone::new(Step::C, 4));
            return match place {
                PlaceWord::Letter(step, Some(octave)) => Some(Tone::new(step, octave)),
                PlaceWord::Letter(step, None) => Some(nearest(step, near)),
                PlaceWord::Position(_) => None,
            };
        };
        Some(match place {
            PlaceWord::Position(place) => clef.tone_at(place),
            PlaceWord::Letter(step, Some(octave)) => Tone::new(step, octave),
            PlaceWord::Letter(step, None) => {
                bare_letter(clef, step, now.previous).unwrap_or_else(|(low, high)| {
                    self.undecided(span, step, low, high);
                    let far = |tone: Tone| now.previous.map(|near| tone.steps_above(near).abs());
                    if far(high) < far(low) { high } else { low }
                })
            }
        })
    }

    fn no_clef(&mut self, voice: usize) {
        if !std::mem::replace(&mut self.states[voice].clef_missing, true) {
            let Voice { name, span, .. } = &self.piece.voices[voice];
            let diagnostic = Diagnostic::new(Code::NoClef, *span, format!("{name} has no clef"))
                .help(format!("type the clef that is printed: voice {name} clef C1"));
            self.report(diagnostic);
        }
    }

    fn undecided(&mut self, span: Span, step: Step, low: Tone, high: Tone) {
        let message = format!("{step} has two places on this staff");
        self.report(
            Diagnostic::new(Code::OctaveUndecided, span, message)
                .help(format!("type {low} for the lower or {high} for the higher one")),
        );
    }

    /// Reports letters among positions and the other way round.
    fn mixed(&mut self, voice: usize, span: Span, place: PlaceWord) {
        let positions = self.piece.voices[voice].positions;
        let (message, help) = match place {
            PlaceWord::Letter(..) if positions => (
                "a letter, but this voice is typed in positions",
                "type its place on the staff, 1 to 11".to_owned(),
            ),
            PlaceWord::Position(_) if !positions => {
                let word = span.of(self.text);
                let sign = Sign::parse(word).map(|sign| format!("; for the sign, `sign {sign}`"));
                (
                    "a position, but this voice is typed in letters",
                    format!(
                        "type its letter{}; or `positions` on the line that opens the voice",
                        sign.unwrap_or_default()
                    ),
                )
            }
            _ => return,
        };
        // One voice, one slip: most likely the word `positions` is missing or too many.
        if !std::mem::replace(&mut self.states[voice].mixed, true) {
            self.report(Diagnostic::new(Code::PositionOrLetter, span, message).help(help));
        }
    }
}

/// The tone of a step that is nearest to another.
fn nearest(step: Step, near: Tone) -> Tone {
    let tone = Tone::new(step, near.octave);
    match tone.steps_above(near) {
        4.. => tone.up(-7),
        ..=-4 => tone.up(7),
        _ => tone,
    }
}
