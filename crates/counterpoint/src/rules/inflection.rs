//! Whether a note has the sign that speaks for it elsewhere, or lacks it.
//!
//! A melody that comes again most likely has the same signs, and so has a note that a voice comes
//! back to at once (common practice of imitation and of cadences). A step that one voice has with a
//! sign, another does not have without it at the same time (*mi contra fa*, the non-harmonic
//! relation: Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 30; from memory). A note that is
//! struck together with the lowest voice does not make a diminished fifth, an augmented fourth or
//! another chromatic interval with it (Zarlino III; Fux, *Gradus ad Parnassum*, 1725, I; from
//! memory).

use super::rule::{Rule, Weighed};
use crate::kinds::named;

named! {
    /// How a note, with or without a sign, stands to what is heard elsewhere.
    pub enum Inflection {
        /// It has a sign, and makes the intervals that the melody has elsewhere.
        SignedLikeMelody = "signed like the melody elsewhere",
        /// It has a sign, and the melody has other intervals elsewhere.
        SignedUnlikeMelody = "signed unlike the melody elsewhere",
        /// It has none, and the melody has other intervals elsewhere, by a sign.
        PlainUnlikeMelody = "plain unlike the melody elsewhere",
        /// It has a sign, as the same voice has it near by on this step.
        SignedLikeNear = "signed like the same step near by",
        /// It has a sign, and the same voice has this step otherwise near by.
        SignedUnlikeNear = "signed unlike the same step near by",
        /// It has none, and the same voice has this step otherwise near by.
        PlainUnlikeNear = "plain unlike the same step near by",
        /// It has a sign, as another voice has it at the time on this step.
        SignedLikeOther = "signed like another voice",
        /// It has a sign, and another voice has this step otherwise at the time.
        SignedUnlikeOther = "signed unlike another voice",
        /// It has none, and another voice has this step otherwise at the time.
        PlainUnlikeOther = "plain unlike another voice",
        /// It has a sign, and is struck together with a note that it makes a false interval with.
        SignedFalse = "signed to a false interval",
        /// It has none, and is struck together with a note that it makes a false interval with.
        PlainFalse = "plain in a false interval",
    }
}

/// Where a note is compared to others.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Elsewhere {
    Melody,
    Near,
    Other,
}

impl Inflection {
    /// What is observed of a note that a sign alters, or does not, and that is like others or not. That a
    /// note has no sign, as others have none, says nothing.
    pub(crate) fn of(signed: bool, like: bool, elsewhere: Elsewhere) -> Option<Inflection> {
        use Inflection::{
            PlainUnlikeMelody, PlainUnlikeNear, PlainUnlikeOther, SignedLikeMelody, SignedLikeNear,
            SignedLikeOther, SignedUnlikeMelody, SignedUnlikeNear, SignedUnlikeOther,
        };
        Some(match (elsewhere, signed, like) {
            (_, false, true) => return None,
            (Elsewhere::Melody, true, true) => SignedLikeMelody,
            (Elsewhere::Melody, true, false) => SignedUnlikeMelody,
            (Elsewhere::Melody, false, false) => PlainUnlikeMelody,
            (Elsewhere::Near, true, true) => SignedLikeNear,
            (Elsewhere::Near, true, false) => SignedUnlikeNear,
            (Elsewhere::Near, false, false) => PlainUnlikeNear,
            (Elsewhere::Other, true, true) => SignedLikeOther,
            (Elsewhere::Other, true, false) => SignedUnlikeOther,
            (Elsewhere::Other, false, false) => PlainUnlikeOther,
        })
    }
}

impl Weighed for Inflection {
    const NAME: &'static str = "inflection";
}

impl Rule for Inflection {
    fn sentence(self) -> String {
        match self {
            Inflection::SignedLikeMelody => "the note has the sign that its melody has elsewhere",
            Inflection::SignedUnlikeMelody => "the melody does not have this sign elsewhere",
            Inflection::PlainUnlikeMelody => "the melody has a sign here elsewhere",
            Inflection::SignedLikeNear => "the voice has this step with the sign near by",
            Inflection::SignedUnlikeNear | Inflection::PlainUnlikeNear => {
                "the voice has this step otherwise near by"
            }
            Inflection::SignedLikeOther => "another voice has this step with the sign at the time",
            Inflection::SignedUnlikeOther | Inflection::PlainUnlikeOther => {
                "another voice has this step otherwise at the time"
            }
            Inflection::SignedFalse => "the sign makes a false interval",
            Inflection::PlainFalse => "the note makes a false interval",
        }
        .to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::duo;

    #[test]
    fn a_melody_that_has_a_sign_in_one_of_two_places() {
        let seen = duo("mn A4 G F G A", "br _ mn D3 C B#2 C D");
        assert_eq!(seen.of("inflection"), [] as [&str; 0], "B is mi without a sign");
        let seen = duo("mn A4 G F#4 G A _ A", "br _ sb _ mn _ mn A3 G F3 G A");
        assert_eq!(
            seen.of("inflection"),
            ["2: signed unlike the melody elsewhere", "9: plain unlike the melody elsewhere"]
        );
        let seen = duo("mn A4 G F#4 G A _ A", "br _ sb _ mn _ mn D4 C B3 C D");
        assert_eq!(seen.of("inflection"), ["2: signed like the melody elsewhere"]);
    }

    #[test]
    fn a_step_that_the_voice_comes_back_to() {
        let seen = duo("mn G4 F#4 G F G _", "sb _ _ _");
        assert_eq!(
            seen.of("inflection"),
            ["1: signed unlike the same step near by", "3: plain unlike the same step near by"]
        );
    }

    #[test]
    fn a_false_fifth_and_a_step_in_two_forms() {
        let seen = duo("sb E4 F4", "sb A3 B3");
        assert_eq!(seen.of("inflection"), ["2: plain in a false interval"; 2], "in each voice");
        let seen = duo("sb _ F#4", "mn F3 D3 D3");
        assert_eq!(
            seen.of("inflection"),
            ["0: plain unlike another voice", "2: signed unlike another voice"]
        );
    }
}
