//! The search for slips in the pitch of a note.

use rudiments::Accidental;

use super::known::{Known, inflected, pass, prior};
use super::stretch::Stretch;
use crate::against::Against;
use crate::mend::candidate::{Candidate, signed};
use crate::mend::repairs::{may_have_too_many, may_lack, pitch};
use crate::slip::{Kind, Repair};
use crate::sum::Cost;
use crate::texture::Note;

impl Known<'_> {
    /// All repairs of pitch but for signs, with their costs.
    pub(super) fn pitches(&self, against: &mut Against<'_>, found: &mut Vec<(Candidate, f64)>) {
        let notes = &self.line.notes;
        for at in (0..notes.len()).filter(|at| notes[*at].facts.printed) {
            let mut typed = None;
            pitch(self.line, at, |candidate| {
                // Those of one note share what is typed there.
                let own;
                let typed = if candidate.to - candidate.from == 1 {
                    typed.get_or_insert_with(|| self.typed(&candidate))
                } else {
                    own = self.typed(&candidate);
                    &own
                };
                let cost = self.cost(&candidate, typed, self.here, against);
                found.push((candidate, cost));
            });
        }
    }

    /// The candidates of a sign left out, and if they are wanted of one too many. A sign holds for all immediate repetitions of its
    /// note. However many these are, only the joints are looked at closely. A sign changes no step, so the
    /// voice is as like the others with it as without, but for its [inflection](crate::inflections).
    pub(super) fn signs(
        &self,
        too_many: bool,
        against: &mut Against<'_>,
        found: &mut Vec<(Candidate, f64)>,
    ) {
        let notes = &self.line.notes;
        let left_out = [Some(Accidental::Sharp), Some(Accidental::Flat)];
        for sign in left_out.into_iter().chain(too_many.then_some(None)) {
            let read: Vec<Note> = notes.iter().map(|note| signed(*note, sign)).collect();
            let there = pass(against, &read, 0, self.weights);
            let mut to = notes.len();
            for at in (0..notes.len()).rev() {
                if notes.get(at + 1).is_some_and(|next| next.pitch != notes[at].pitch) {
                    to = at + 1;
                }
                let may_be = match sign {
                    Some(sign) => may_lack(&notes[at], sign),
                    None => may_have_too_many(notes, at),
                };
                if notes[at].facts.printed && may_be {
                    let kind = if sign.is_some() {
                        Kind::AccidentalLeftOut
                    } else {
                        Kind::AccidentalTooMany
                    };
                    let candidate = Candidate::of_pitch(kind, Repair::Sign(sign), at, to);
                    let stretch =
                        Stretch { typed: notes, read: &read, from: at, to, weights: self.weights };
                    let inflected: Cost<'_> = inflected(
                        (self.melodies, notes, self.weights),
                        &candidate,
                        &read[at..to],
                        against,
                    );
                    let cost = stretch.cost(self.here, &there, against)
                        + inflected.sum
                        + prior(&candidate, self.weights);
                    found.push((candidate, cost));
                }
            }
        }
    }
}
