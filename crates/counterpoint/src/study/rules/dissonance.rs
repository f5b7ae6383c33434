//! The figures of dissonance, and which of them each rule set allows.
//!
//! Tinctoris, *Liber de arte contrapuncti*, 1477, II (dissonances small and off the beat, or
//! syncopated); Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 42; Fux, *Gradus ad Parnassum*,
//! 1725, I, second to fifth species; Jeppesen, *The Style of Palestrina and the Dissonance*, 1927
//! (which figures belong to which generation); Santa María, the treatise on the fantasia, 1565 (what
//! the keyboard is free to do); all from memory.

use super::{FAULT, FREE, Judgement, LICENCE, REMARK, Row, RuleSet};
use crate::kinds::named;
use crate::rank::Rank;

named! {
    /// How a dissonance is treated.
    pub enum Figure {
        /// One note is suspended.
        Suspension = "suspension",
        /// One note is suspended, and the resolution is a perfect consonance: 2-1, 4-5, 7-8, in two
        /// voices also 9-8.
        PerfectSuspension = "suspension into a perfect consonance",
        /// A note that is suspended is struck again.
        Restruck = "suspension struck again",
        /// A fifth over the lowest note is suspended against the sixth.
        SixFive = "six-five",
        /// A note that has begun on a stronger place is held into a weak minim, and goes a step down
        /// within it.
        WithinMinim = "suspension within a weak minim",
        /// The ornament of a resolution.
        SuspensionOrnament = "ornament of a resolution",
        /// A fourth by step over a held or repeated lowest note that goes on over a stronger place,
        /// and down a step.
        ConsonantFourth = "consonant fourth",
        /// The same as a seventh.
        EnteringSeventh = "seventh that enters like a consonant fourth",
        /// By step, and on in the same direction.
        Passing = "passing note",
        /// By step, and back.
        Neighbour = "neighbour",
        /// By step, and struck again.
        Anticipation = "anticipation",
        /// A step down, a third down, a step up.
        Cambiata = "cambiata",
        /// A step down, a third down, and on otherwise.
        OldCambiata = "cambiata without its last step",
        /// By step, and a leap the other way.
        Escaped = "escaped note",
        /// A false fifth or tritone from which both voices go on by step, inward or outward.
        FalseFifth = "false fifth or tritone that both voices leave by step",
        /// Both notes are struck, and one of them is passing, a neighbour, a cambiata or an
        /// anticipation by itself.
        BothStruck = "both struck",
        /// A fusa after another of the same minim: only the first is judged.
        Run = "fusa within a run",
        /// A passing note, neighbour or anticipation that one voice begins and another ends, the one
        /// falling silent as the other enters.
        TakenOver = "taken over by another voice",
        /// A suspended note whose voice falls silent, while another has the note a step below.
        ResolvedElsewhere = "suspension resolved in another voice",
        /// A fourth between held notes, since the voice below them is silent now.
        LaidBare = "fourth laid bare",
        /// None of these.
        Untreated = "untreated",
    }
}

/// A figure, and what tells whether it is allowed: the note that makes it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Manner {
    /// The figure.
    pub figure: Figure,
    /// The value of the note, dot left out: the largest of breve to fusa that it contains.
    pub value: Rank,
    /// Whether it is longer than this value.
    pub dotted: bool,
    /// The rank of the moment at which it begins.
    pub rank: Rank,
    /// Whether it comes from below.
    pub rising: bool,
}

impl Manner {
    /// Whether it begins on a weak place: one of no higher rank than its own value.
    pub fn is_weak(&self) -> bool {
        self.rank >= self.value
    }
}

/// Where a figure stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Place {
    /// Anywhere.
    Any,
    /// On a weak place.
    Weak,
    /// On a strong place of at most this rank.
    Strong(Rank),
    /// The same; falling.
    Down(Rank),
}

use Figure::{
    Anticipation, BothStruck, Cambiata, ConsonantFourth, EnteringSeventh, Escaped, FalseFifth,
    LaidBare, Neighbour, OldCambiata, Passing, PerfectSuspension, ResolvedElsewhere, Restruck, Run,
    SixFive, Suspension, SuspensionOrnament, TakenOver, WithinMinim,
};
use Place::{Any, Down, Strong, Weak};
use Rank::{Breve, Fusa, Minim, Semiminim};

/// What is allowed: the figure, its place, its longest value, and what each rule set says. What has
/// no row is a fault.
#[rustfmt::skip]
const ALLOWED: &[(Figure, Place, Rank, Row)] = &[
    //                                            1500     1560     keyboard species
    (Suspension,         Any,           Breve,     [FREE,    FREE,    FREE,    FREE]),
    (SixFive,            Any,           Breve,     [FREE,    FREE,    FREE,    FREE]),
    (PerfectSuspension,  Any,           Breve,     [REMARK,  REMARK,  REMARK,  LICENCE]),
    (Restruck,           Any,           Breve,     [FREE,    FREE,    FREE,    FAULT]),
    // The madrigals of 1582: common practice of the light styles, which the books leave out.
    (WithinMinim,        Any,           Breve,     [FAULT,   LICENCE, LICENCE, FAULT]),
    (SuspensionOrnament, Any,           Minim,     [FREE,    FREE,    FREE,    FREE]),
    (ConsonantFourth,    Any,           Breve,     [FREE,    FREE,    FREE,    FAULT]),
    (EnteringSeventh,    Any,           Breve,     [LICENCE, FAULT,   FAULT,   FAULT]),
    (Passing,            Weak,          Minim,     [FREE,    FREE,    FREE,    FREE]),
    // Fux, third species: the third of four may be dissonant between two that are consonant.
    (Passing,            Down(Minim),   Semiminim, [FREE,    FREE,    FREE,    FREE]),
    (Passing,            Strong(Minim), Semiminim, [REMARK,  FAULT,   FAULT,   FREE]),
    (Passing,            Down(Breve),   Semiminim, [REMARK,  REMARK,  REMARK,  FAULT]),
    (Neighbour,          Weak,          Semiminim, [FREE,    FREE,    FREE,    LICENCE]),
    (Neighbour,          Weak,          Minim,     [FREE,    LICENCE, LICENCE, FAULT]),
    // Jeppesen: of two fusae in the place of a semiminim the first may be a neighbour.
    (Neighbour,          Strong(Semiminim), Fusa,  [FREE,    FREE,    FREE,    LICENCE]),
    (Anticipation,       Weak,          Semiminim, [FREE,    FREE,    FREE,    LICENCE]),
    (Cambiata,           Weak,          Minim,     [FREE,    FREE,    FREE,    FREE]),
    (OldCambiata,        Weak,          Minim,     [FREE,    FAULT,   FAULT,   FAULT]),
    (Escaped,            Weak,          Semiminim, [FREE,    FAULT,   FAULT,   FAULT]),
    (FalseFifth,         Any,           Breve,     [FREE,    FREE,    FREE,    LICENCE]),
    (BothStruck,         Weak,          Minim,     [FREE,    FREE,    FREE,    LICENCE]),
    (BothStruck,         Down(Minim),   Semiminim, [FREE,    FREE,    FREE,    FAULT]),
    // Santa María, of the keyboard: what is quick is judged by its first note, and voices come and go
    // as the hand has fingers for them.
    (Run,                Any,           Fusa,      [FAULT,   FAULT,   FREE,    FAULT]),
    (TakenOver,          Weak,          Minim,     [FAULT,   FAULT,   LICENCE, FAULT]),
    (ResolvedElsewhere,  Any,           Breve,     [FAULT,   FAULT,   LICENCE, FAULT]),
    (LaidBare,           Any,           Breve,     [REMARK,   REMARK,  REMARK,  FAULT]),
];

impl RuleSet {
    /// What the rules say about a dissonance.
    pub fn dissonance(self, manner: &Manner) -> Judgement {
        let value_fits =
            |longest| manner.value > longest || manner.value == longest && !manner.dotted;
        let fits = |place| match place {
            Any => true,
            Weak => manner.is_weak(),
            Strong(rank) => !manner.is_weak() && manner.rank >= rank,
            Down(rank) => !manner.is_weak() && !manner.rising && manner.rank >= rank,
        };
        let rows = ALLOWED.iter().filter(|(figure, place, longest, _)| {
            *figure == manner.figure && fits(*place) && (*place == Any || value_fits(*longest))
        });
        rows.map(|(_, _, _, row)| row[self as usize]).min().unwrap_or(FAULT)
    }
}

#[cfg(test)]
mod tests {
    use Rank::Semibreve;

    use super::*;

    fn said(figure: Figure, value: Rank, rank: Rank, rising: bool) -> Vec<&'static str> {
        let manner = Manner { figure, value, dotted: false, rank, rising };
        let name = |rules: &RuleSet| rules.dissonance(&manner).map_or("free", |s| s.name());
        RuleSet::ALL.iter().map(name).collect()
    }

    /// Zarlino III, ch. 42: the minim that passes on the weak half of the tactus; not a semibreve, and
    /// not a minim on its beginning (from memory).
    #[test]
    fn passing_minims() {
        assert_eq!(said(Passing, Minim, Minim, true), ["free"; 4]);
        assert_eq!(said(Passing, Minim, Semibreve, true), ["fault"; 4]);
        assert_eq!(said(Passing, Semibreve, Semibreve, true), ["fault"; 4]);
    }

    /// Jeppesen, *The Style of Palestrina and the Dissonance*: relatively accented semiminims fall
    /// (from memory).
    #[test]
    fn accented_passing_semiminims_fall() {
        assert_eq!(said(Passing, Semiminim, Minim, false)[1], "free");
        assert_eq!(said(Passing, Semiminim, Minim, true)[1], "fault");
        assert_eq!(said(Passing, Semiminim, Minim, true)[3], "free");
        assert_eq!(said(Passing, Semiminim, Breve, false)[1], "remark");
    }

    #[test]
    fn what_has_no_row_is_a_fault() {
        assert_eq!(said(Figure::Untreated, Semiminim, Semiminim, true), ["fault"; 4]);
    }

    #[test]
    fn rule_sets_by_name() {
        for rules in RuleSet::ALL {
            assert_eq!(RuleSet::from_name(rules.name()), Some(*rules));
            assert!(!rules.source().is_empty() && !rules.date().is_empty());
        }
        assert_eq!(RuleSet::from_name("1600"), None);
    }
}
