//! How a voice goes on after it has moved.
//!
//! After a leap a voice tends to turn back by step (Jeppesen, *The Style of Palestrina and the
//! Dissonance*, 1927; from memory). A turn down and back at a cadence is a semitone (common
//! practice).

use super::rule::{Heard, OfEvent, Prior, Rule, Weighed};
use crate::kinds::named;

named! {
    /// Two motions in a row: that to a note and that from it.
    pub enum Turn {
        /// Two steps on.
        StepsOn = "two steps on",
        /// A step and back, of none of the kinds below.
        StepBack = "step and back",
        /// A step, then a leap on.
        StepThenLeapOn = "step, then leap on",
        /// A step, then a leap back.
        StepThenLeapBack = "step, then leap back",
        /// A leap, then a step on.
        LeapThenStepOn = "leap, then step on",
        /// A leap, then a step back.
        LeapThenStepBack = "leap, then step back",
        /// Two leaps on.
        LeapsOn = "two leaps on",
        /// A leap and a leap back.
        LeapsBack = "leap and leap back",
        /// A repeated note among them.
        Repeated = "repeated note",
        /// A semitone down and back, as cadences and their signs have it.
        SemitoneDown = "semitone down and back",
        /// A tone down and back, on a note as long as the one before, or longer.
        ToneDown = "tone down and back",
        /// A tone up and back.
        ToneUp = "tone up and back",
    }
}

impl Weighed for Turn {
    const NAME: &'static str = "turn";
    const PRIOR: Prior = Prior::Rare;
}

impl Rule for Turn {
    fn sentence(self) -> String {
        format!("the voice turns by {}", self.name())
    }
}

impl OfEvent for Turn {
    const WITH_BEFORE: bool = true;

    fn observe(heard: &Heard<'_>) -> Option<Turn> {
        let (before, note) = (heard.before?, heard.note);
        let (come, leave) = (note.come?, note.leave?);
        let on = (come > 0) == (leave > 0);
        Some(match (come.abs(), leave.abs()) {
            (0, _) | (_, 0) => Turn::Repeated,
            (1, 1) if on => Turn::StepsOn,
            (1, 1) => match note.pitch?.semitones - before.pitch?.semitones {
                -1 => Turn::SemitoneDown,
                -2 if note.length >= before.length => Turn::ToneDown,
                2 => Turn::ToneUp,
                _ => Turn::StepBack,
            },
            (1, _) if on => Turn::StepThenLeapOn,
            (1, _) => Turn::StepThenLeapBack,
            (_, 1) if on => Turn::LeapThenStepOn,
            (_, 1) => Turn::LeapThenStepBack,
            _ if on => Turn::LeapsOn,
            _ => Turn::LeapsBack,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::seen;

    #[test]
    fn a_cadence_turns_down_a_semitone() {
        let seen = seen("voice A clef C1\n mn D5 C#5 D5 C5 D5\n");
        assert_eq!(
            seen.of("turn"),
            ["1: semitone down and back", "2: step and back", "3: tone down and back"]
        );
    }

    #[test]
    fn leaps_turn_back_or_go_on() {
        let seen = seen("voice A clef C1\n mn C4 E F E C4 E G E E\n");
        assert_eq!(
            seen.of("turn"),
            [
                "1: leap, then step on",
                "2: step and back",
                "3: step, then leap on",
                "4: leap and leap back",
                "5: two leaps on",
                "6: leap and leap back",
                "7: repeated note"
            ]
        );
    }
}
