//! What is a fault in how voices move, alone and together.
//!
//! Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 29 (two perfect consonances of a kind), 30
//! (harmonic relations), 37 (leaps); Fux, *Gradus ad Parnassum*, 1725, I, first species (perfect
//! consonances by contrary or oblique motion); all from memory.

use super::{FAULT, FREE, Judgement, LICENCE, REMARK, Row, RuleSet};
use crate::kinds::named;

named! {
    /// What a finding is about.
    pub enum Rule {
        /// Two fifths in a row, in the same direction.
        ParallelFifths = "parallel-fifths",
        /// Two octaves or unisons in a row, in the same direction.
        ParallelOctaves = "parallel-octaves",
        /// Two fifths on successive minims, with something shorter between.
        SuccessiveFifths = "successive-fifths",
        /// Two octaves or unisons so.
        SuccessiveOctaves = "successive-octaves",
        /// Two fifths in a row, in contrary motion.
        ContraryFifths = "contrary-fifths",
        /// Octave and unison in a row, in contrary motion.
        ContraryOctaves = "contrary-octaves",
        /// From an imperfect consonance to a fifth, in the same direction.
        DirectFifth = "direct-fifth",
        /// From an imperfect consonance to an octave or unison, in the same direction.
        DirectOctave = "direct-octave",
        /// Fifths between what sounds highest and lowest, made by more than two voices.
        OuterFifths = "outer-fifths",
        /// Octaves so.
        OuterOctaves = "outer-octaves",
        /// Fifths into a full chord at an end, not between the outer voices.
        FilledFifths = "filled-fifths",
        /// Octaves or unisons so.
        FilledOctaves = "filled-octaves",
        /// A voice goes above one that stands above it.
        Crossing = "crossing",
        /// Two voices strike one key together.
        OneKey = "one-key",
        /// A voice strikes the key that another holds.
        HeldKey = "held-key",
        /// One voice has several notes at once, and not at an end.
        SeveralNotes = "several-notes",
        /// The same step with two signs in two voices, together or nearly so.
        FalseRelation = "false-relation",
        /// Two major thirds in a row, a whole tone apart.
        MajorThirds = "major-thirds",
        /// In the strict species, a value that the species does not have.
        OtherValue = "other-value",
        /// In the fourth species, a note that is not tied over.
        BrokenLigature = "broken-ligature",
        /// In the strict species, a note that is struck again.
        RepeatedNote = "repeated-note",
        /// In the strict species, a unison in the midst.
        Unison = "unison",
        /// A voice moves by an augmented interval.
        Augmented = "augmented-interval",
        /// A voice moves by a diminished interval.
        Diminished = "diminished-interval",
        /// A voice moves by a semitone on one step.
        ChromaticStep = "chromatic-step",
        /// A voice leaps a seventh.
        Seventh = "seventh",
        /// A voice leaps a sixth that is not a rising minor one.
        Sixth = "sixth",
        /// A voice leaps more than an octave.
        WideLeap = "wide-leap",
        /// A dissonance that the rules do not have.
        UntreatedDissonance = "untreated-dissonance",
        /// A dissonance that the rules have, but not gladly.
        Dissonance = "dissonance",
    }
}

/// What each rule set says, by the number of voices of the piece: two, three, or more. Dissonances
/// have a table of their own.
#[rustfmt::skip]
const MOVEMENT: &[(Rule, [Row; 3])] = {
    use Rule::{
        Augmented, BrokenLigature, ChromaticStep, ContraryFifths, ContraryOctaves, Crossing, Diminished, DirectFifth,
        DirectOctave, FalseRelation, FilledFifths, FilledOctaves, HeldKey, MajorThirds, OneKey, OtherValue,
        OuterFifths, OuterOctaves, ParallelFifths, ParallelOctaves, RepeatedNote, SeveralNotes, Seventh, Sixth,
        SuccessiveFifths, SuccessiveOctaves, Unison, WideLeap,
    };
    //                       1500     1560     keyboard species
    const FAULTS: [Row; 3] = [[FAULT; 4]; 3];
    const REMARKS: [Row; 3] = [[REMARK; 4]; 3];
    // In two voices; in more they cannot be helped (Zarlino III, ch. 30).
    const THIRDS: [Row; 3] = [[REMARK; 4], [FREE; 4], [FREE; 4]];
    const SUCCESSIVE: [Row; 3] = [[REMARK, REMARK, REMARK, FAULT]; 3];
    const CONTRARY: [Row; 3] = [
        /* two   */         [FAULT,   FAULT,   REMARK,  FAULT],
        /* three */         [REMARK,  REMARK,  FREE,    LICENCE],
        /* more  */         [FREE,    FREE,    FREE,    FREE],
    ];
    const DIRECT: [Row; 3] = [
        /* two   */         [REMARK,  REMARK,  REMARK,  FAULT],
        /* three */         [REMARK,  REMARK,  REMARK,  LICENCE],
        /* more  */         [REMARK,  REMARK,  REMARK,  REMARK],
    ];
    // Santa María: at an end the chord is filled up, and only the outer voices are heard as voices.
    const FILLED: [Row; 3] = [[FAULT, FAULT,   REMARK,  FAULT]; 3];
    // What is struck in one place of the keyboard, two singers sing in unison.
    const KEY: [Row; 3] =   [[FREE,   FREE,    REMARK,  FREE]; 3];
    // What only one of the species has.
    const STRICT: [Row; 3] = [[FREE,  FREE,    FREE,    FAULT]; 3];
    const LIGATURE: [Row; 3] = [[FREE, FREE,   FREE,    REMARK]; 3];
    const LEAP: [Row; 3] =  [[FAULT,  FAULT,   REMARK,  FAULT]; 3];
    const CHROMATIC: [Row; 3] = [[LICENCE, LICENCE, LICENCE, FAULT]; 3];
    &[
        (ParallelFifths, FAULTS),
        (ParallelOctaves, FAULTS),
        (SuccessiveFifths, SUCCESSIVE),
        (SuccessiveOctaves, SUCCESSIVE),
        (ContraryFifths, CONTRARY),
        (ContraryOctaves, CONTRARY),
        (DirectFifth, DIRECT),
        (DirectOctave, DIRECT),
        (OuterFifths, REMARKS),
        (OuterOctaves, REMARKS),
        (FilledFifths, FILLED),
        (FilledOctaves, FILLED),
        (Crossing, REMARKS),
        (OneKey, KEY),
        (HeldKey, KEY),
        (SeveralNotes, REMARKS),
        (FalseRelation, REMARKS),
        (MajorThirds, THIRDS),
        (OtherValue, STRICT),
        (BrokenLigature, LIGATURE),
        (RepeatedNote, STRICT),
        (Unison, STRICT),
        (Augmented, LEAP),
        (Diminished, LEAP),
        (ChromaticStep, CHROMATIC),
        (Seventh, LEAP),
        (Sixth, LEAP),
        (WideLeap, LEAP),
    ]
};

impl RuleSet {
    /// What the rules say about a movement in a piece of so many voices.
    pub fn movement(self, rule: Rule, voices: usize) -> Judgement {
        let (_, rows) = MOVEMENT.iter().find(|(of, _)| *of == rule)?;
        rows[voices.saturating_sub(2).min(2)][self as usize]
    }
}

#[cfg(test)]
mod tests {
    use super::super::Severity;
    use super::*;

    #[test]
    fn contrary_motion_is_a_fault_in_two_voices_alone() {
        let said = |voices| RuleSet::About1560.movement(Rule::ContraryOctaves, voices);
        assert_eq!([2, 3, 4, 5].map(said), [FAULT, REMARK, FREE, FREE]);
    }

    /// Zarlino III, ch. 29, and Fux I (from memory).
    #[test]
    fn parallels_are_a_fault_everywhere() {
        for rules in RuleSet::ALL {
            for voices in [0, 1, 2, 5, 64] {
                let said = rules.movement(Rule::ParallelFifths, voices);
                assert_eq!(said, Some(Severity::Fault));
            }
        }
    }

    /// Every movement has its row.
    #[test]
    fn every_rule_has_its_row() {
        let of_dissonance = [Rule::UntreatedDissonance, Rule::Dissonance];
        for rule in Rule::ALL.iter().filter(|rule| !of_dissonance.contains(rule)) {
            assert_eq!(MOVEMENT.iter().filter(|(of, _)| of == rule).count(), 1, "{rule:?}");
        }
    }
}
