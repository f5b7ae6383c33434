//! The tone of a note, by the clef in force.

use rudiments::{Sign, Step, Tone};

use crate::parser::Parser;
use crate::undecided::{bare_letter, nearer};
use crate::words::{HeadWord, PlaceWord, octave_place};
use crate::{Code, Diagnostic, Note, Span, Undecided, Voice};

impl Parser<'_> {
    /// One of the notes of an event; `number` counts them from 0.
    pub(super) fn note(
        &mut self,
        voice: usize,
        span: Span,
        head: HeadWord,
        number: usize,
    ) -> Option<Note> {
        let tone = self.tone(voice, span, head.place, Some(number))?;
        Some(Note { tone, printed: head.printed, editorial: head.editorial })
    }

    /// The tone of a letter or position under the clef in force; `number` is that of the note in its
    /// event, or nothing for a direct.
    pub(super) fn tone(
        &mut self,
        voice: usize,
        span: Span,
        place: PlaceWord,
        number: Option<usize>,
    ) -> Option<Tone> {
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
                    let taken = nearer(low, high, now.previous);
                    let at = octave_place(span.of(self.text), number.unwrap_or(0));
                    self.piece.undecided.push(Undecided {
                        voice,
                        item: number.map(|_| self.piece.voices[voice].items.len()),
                        span,
                        at: span.start + u32::try_from(at).unwrap_or(0),
                        low,
                        high,
                        taken,
                        previous: now.previous,
                        run: Vec::new(),
                    });
                    taken
                })
            }
        })
    }

    /// Where a note would stand if the last undecided letter of its voice stood at its other place, as
    /// far as that changes it; it is to become the next item.
    pub(super) fn otherwise(
        &mut self,
        voice: usize,
        place: PlaceWord,
        tone: Tone,
    ) -> Option<(usize, Tone)> {
        let PlaceWord::Letter(step, None) = place else { return None };
        let now = self.states[voice].now;
        let item = self.piece.voices[voice].items.len();
        let last = self.piece.undecided.len().checked_sub(1)?;
        let letter = &self.piece.undecided[last];
        if (letter.voice, letter.item) == (voice, Some(item)) && letter.taken == tone {
            return Some((last, letter.other()));
        }
        let (of, before) = now.otherwise?;
        let other =
            bare_letter(now.clef?, step, Some(before)).ok().filter(|other| *other != tone)?;
        self.piece.undecided[of].run.push((item, other));
        Some((of, other))
    }

    fn no_clef(&mut self, voice: usize) {
        if !std::mem::replace(&mut self.states[voice].clef_missing, true) {
            let Voice { name, span, .. } = &self.piece.voices[voice];
            let diagnostic = Diagnostic::new(Code::NoClef, *span, format!("{name} has no clef"))
                .help(format!("type the clef that is printed: voice {name} clef C1"));
            self.report(diagnostic);
        }
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
