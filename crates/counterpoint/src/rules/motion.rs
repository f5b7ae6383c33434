//! How a voice moves from note to note.
//!
//! Steps, and leaps of the consonances up to the octave, without the major sixth and the sevenths
//! (Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 37; Fux, *Gradus ad Parnassum*, 1725, I; both
//! from memory).

use super::rule::{Heard, OfEvent, Prior, Rule, Weighed};
use crate::kinds::named;

named! {
    /// The motion by which a note is come to.
    pub enum Motion {
        /// The same note again.
        Repeated = "repeated note",
        /// A second.
        Second = "second",
        /// A third.
        Third = "third",
        /// A fourth.
        Fourth = "fourth",
        /// A fifth.
        Fifth = "fifth",
        /// A minor sixth up.
        SixthUp = "minor sixth up",
        /// An octave.
        Octave = "octave",
        /// Another sixth.
        Sixth = "other sixth",
        /// A seventh.
        Seventh = "seventh",
        /// More than an octave.
        Wide = "more than an octave",
        /// A tritone, or another chromatic leap.
        Tritone = "tritone or chromatic leap",
        /// A chromatic step.
        Chromatic = "chromatic step",
    }
}

impl Weighed for Motion {
    const NAME: &'static str = "motion";
    const PRIOR: Prior = Prior::Rare;
}

impl Rule for Motion {
    fn sentence(self) -> String {
        match self {
            Motion::Repeated => "the note is repeated".to_owned(),
            Motion::Wide => "the voice leaps by more than an octave".to_owned(),
            Motion::Sixth => "the voice leaps by a sixth".to_owned(),
            Motion::Octave => "the voice leaps by an octave".to_owned(),
            Motion::Tritone => "the voice leaps by a tritone or chromatic interval".to_owned(),
            Motion::Second | Motion::Chromatic => format!("the voice moves by a {}", self.name()),
            _ => format!("the voice leaps by a {}", self.name()),
        }
    }
}

impl OfEvent for Motion {
    const WITH_BEFORE: bool = true;

    fn observe(heard: &Heard<'_>) -> Option<Motion> {
        let (from, to) = (heard.before?.pitch?, heard.note.pitch?);
        let (steps, semitones) = (to.rung - from.rung, to.semitones - from.semitones);
        Some(match (steps.abs(), semitones.abs()) {
            (0, 0) => Motion::Repeated,
            (1, 1 | 2) => Motion::Second,
            (2, 3 | 4) => Motion::Third,
            (3, 5) => Motion::Fourth,
            (4, 7) => Motion::Fifth,
            (5, 8) if steps > 0 => Motion::SixthUp,
            (5, 8 | 9) => Motion::Sixth,
            (7, 12) => Motion::Octave,
            (6, 10 | 11) => Motion::Seventh,
            (8.., _) => Motion::Wide,
            (0 | 1, _) => Motion::Chromatic,
            _ => Motion::Tritone,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::seen;

    #[test]
    fn motions_from_note_to_note_but_not_over_a_rest() {
        let seen = seen("voice A clef C1\n mn D4 D4 E4 G4 C4 C5 D4 B4 F4 F#4 _ G4\n");
        assert_eq!(
            seen.of("motion"),
            [
                "1: repeated note",
                "2: second",
                "3: third",
                "4: fifth",
                "5: octave",
                "6: seventh",
                "7: other sixth",
                "8: tritone or chromatic leap",
                "9: chromatic step"
            ]
        );
    }
}
