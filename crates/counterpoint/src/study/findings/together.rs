//! How two voices move together into perfect consonances.
//!
//! Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 29 (no two perfect consonances of a kind in a
//! row) and of similar motion into them; Fux, *Gradus ad Parnassum*, 1725, I, first and second
//! species; all from memory. That a figure of a semiminim does not save fifths on successive minims:
//! Zarlino III, ch. 48 (from memory).

use super::Found;
use crate::dyad::{Concord, Dyad};
use crate::study::moments::{Moment, Moments, NoteRef, Sounding};
use crate::study::rules::{Rule, RuleSet};
use crate::study::suspension::repeated;
use crate::texture::{Height, Texture};

/// The kinds of perfect consonance.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Perfect {
    Fifth,
    Octave,
}

impl Perfect {
    /// What two notes make, if it is perfect: a fifth or its compounds, a unison or octave.
    pub(super) fn of(one: Height, other: Height) -> Option<Perfect> {
        match Dyad::of(one, other, true) {
            Dyad::Concord(Concord::Fifth) => Some(Perfect::Fifth),
            Dyad::Concord(Concord::Octave) => Some(Perfect::Octave),
            _ => None,
        }
    }

    /// The rule of this kind: that of fifths, or that of octaves.
    pub(super) fn rule(self, fifths: Rule, octaves: Rule) -> Rule {
        match self {
            Perfect::Fifth => fifths,
            Perfect::Octave => octaves,
        }
    }
}

/// Parallels, contrary and direct motion, and what is parallel from minim to minim.
pub(super) fn find(moments: &Moments, found: &mut Found<'_>) {
    for moment in moments.iter() {
        for (place, one) in moment.sounding.iter().enumerate().filter(|(_, one)| one.struck) {
            for other in moment.sounding[place + 1..].iter().filter(|other| other.struck) {
                let rule = match Perfect::of(one.height, other.height) {
                    Some(perfect) => motion(found, &moment, perfect, one, other),
                    None => major_thirds(found.texture, one, other),
                };
                if let Some(rule) = rule {
                    found.movement(rule, moment.at, &[one.note, other.note]);
                }
            }
        }
    }
}

/// The rule of how two notes that are struck come to a perfect consonance.
fn motion(
    found: &Found<'_>,
    moment: &Moment<'_>,
    perfect: Perfect,
    one: &Sounding,
    other: &Sounding,
) -> Option<Rule> {
    let texture = found.texture;
    let moves = (come(texture, one)?, come(texture, other)?);
    if moves.0 == 0 || moves.1 == 0 {
        return None;
    }
    let before = (one.note.before()?.of(texture).pitch?, other.note.before()?.of(texture).pitch?);
    let was = Perfect::of(before.0, before.1);
    let same_way = (moves.0 > 0) == (moves.1 > 0);
    if was == Some(perfect) {
        let is_filled = found.rules == RuleSet::Keyboard
            && [one, other].iter().all(|own| own.note.of(texture).facts.last)
            && !are_outer(moment, one, other);
        return Some(if is_filled {
            perfect.rule(Rule::FilledFifths, Rule::FilledOctaves)
        } else if same_way {
            perfect.rule(Rule::ParallelFifths, Rule::ParallelOctaves)
        } else {
            perfect.rule(Rule::ContraryFifths, Rule::ContraryOctaves)
        });
    }
    if is_successive(found, perfect, one, other) {
        return Some(perfect.rule(Rule::SuccessiveFifths, Rule::SuccessiveOctaves));
    }
    if !same_way {
        return None;
    }
    let upper = if one.pitch() >= other.pitch() { moves.0 } else { moves.1 };
    let strict = found.rules == RuleSet::Species && found.voices == 2;
    let imperfect = was.is_none() && !Dyad::of(before.0, before.1, true).is_discord();
    let is_direct = strict || imperfect && upper.abs() > 1 && are_outer(moment, one, other);
    is_direct.then_some(perfect.rule(Rule::DirectFifth, Rule::DirectOctave))
}

/// Two major thirds in a row, a whole tone apart: the lower note of one and the upper note of the
/// other make a tritone (Zarlino III, ch. 30).
fn major_thirds(texture: &Texture, one: &Sounding, other: &Sounding) -> Option<Rule> {
    let third = Dyad::Concord(Concord::MajorThird);
    if Dyad::of(one.height, other.height, true) != third {
        return None;
    }
    let before = |now: &Sounding| now.note.before()?.of(texture).pitch;
    let (first, second) = (before(one)?, before(other)?);
    let tone = |now: &Sounding, then: Height| {
        let (steps, semitones) =
            (now.height.rung - then.rung, now.height.semitones - then.semitones);
        matches!((steps, semitones), (1, 2) | (-1, -2)).then_some(steps)
    };
    let alike = tone(one, first)? == tone(other, second)?;
    (alike && Dyad::of(first, second, true) == third).then_some(Rule::MajorThirds)
}

/// By how many steps a note is come to from the one directly before; nothing after a rest.
fn come(texture: &Texture, sounding: &Sounding) -> Option<i8> {
    sounding.note.of(texture).come
}

/// Whether two notes are the highest and the lowest that sound.
fn are_outer(moment: &Moment<'_>, one: &Sounding, other: &Sounding) -> bool {
    let highest = moment.sounding.iter().map(Sounding::pitch).max();
    let is_highest = |sounding: &Sounding| Some(sounding.pitch()) == highest;
    is_highest(one) && moment.is_lowest(other) || is_highest(other) && moment.is_lowest(one)
}

/// Whether the same perfect consonance was struck a minim before, and both voices have gone the
/// same way since, one of them with a note between. In the strict species, a semibreve before, with
/// a note between that lies no farther than a third (Fux, second species).
fn is_successive(found: &Found<'_>, perfect: Perfect, one: &Sounding, other: &Sounding) -> bool {
    let texture = found.texture;
    let strict = found.rules == RuleSet::Species;
    let minim = one.note.of(texture).measure.minim;
    let back = if strict { 2 * minim } else { minim };
    let then = |now: &Sounding| struck_at(texture, now.note, now.note.of(texture).onset - back);
    let (Some(first), Some(second)) = (then(one), then(other)) else { return false };
    let height = |note: NoteRef| note.of(texture).pitch;
    let (Some(from), Some(with)) = (height(first), height(second)) else { return false };
    let ways = (one.height.rung.cmp(&from.rung), other.height.rung.cmp(&with.rung));
    // One voice goes directly, and the other by one note.
    let between = |first: NoteRef, now: &Sounding| now.note.note - first.note - 1;
    let far = |first: NoteRef| first.of(texture).leave.is_none_or(|leave| leave.abs() > 2);
    let is_between = match (between(first, one), between(second, other)) {
        (0, 1) => !(strict && far(second)),
        (1, 0) => !(strict && far(first)),
        _ => false,
    };
    Perfect::of(from, with) == Some(perfect) && ways.0.is_ne() && ways.0 == ways.1 && is_between
}

/// The note of a line that is struck at a moment not far before a note; nothing over a rest.
fn struck_at(texture: &Texture, note: NoteRef, at: i64) -> Option<NoteRef> {
    let mut then = note;
    while then.of(texture).onset > at {
        then = then.before()?;
        then.of(texture).pitch?;
    }
    let is_struck = then.of(texture).onset == at && repeated(texture, note) != Some(then);
    is_struck.then_some(then)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{NOTHING, found, found_by};
    use super::*;

    /// Zarlino III, ch. 29 (from memory).
    #[test]
    fn two_perfect_consonances_of_a_kind() {
        assert_eq!(found(&["sb A4 B4", "sb D4 E4"]), ["2: fault parallel-fifths"]);
        assert_eq!(found(&["sb D5 E5", "sb D4 E4"]), ["2: fault parallel-octaves"]);
        assert_eq!(found(&["sb D4 E4", "sb D4 E4"]), ["2: fault parallel-octaves"]);
        assert_eq!(found(&["sb A4 E5", "sb D4 A3 G3"]), ["2: fault contrary-fifths"]);
    }

    #[test]
    fn compounds_are_alike() {
        assert_eq!(found(&["sb A4 F5", "sb D3 Bb3"]), ["2: fault parallel-fifths"]);
    }

    /// The false fifth is no perfect consonance: neither from it nor to it.
    #[test]
    fn a_false_fifth_makes_no_parallels() {
        let parallels = |music: &[&str]| {
            found(music).into_iter().filter(|found| found.contains("parallel")).count()
        };
        assert_eq!(parallels(&["sb F4 G4", "sb B3 C4"]), 0);
        assert_eq!(parallels(&["sb G4 F4", "sb C4 B3"]), 0);
    }

    #[test]
    fn a_rest_frees_them_and_a_repeated_note_makes_none() {
        assert_eq!(found(&["sb A4 _ B4", "sb D4 _ E4"]), NOTHING);
        assert_eq!(found(&["sb A4 A4", "sb D4 D4"]), NOTHING);
        assert_eq!(found(&["sb A4 _ B4", "br D4 sb E4"]), NOTHING);
    }

    #[test]
    fn contrary_motion_by_the_number_of_voices() {
        let upper = ["sb D5 G4", "sb D4 G4"];
        assert_eq!(found(&upper), ["2: fault contrary-octaves"]);
        assert_eq!(found(&[upper[0], upper[1], "sb G3 B3"])[..1], ["2: remark contrary-octaves"]);
        let four = found(&[upper[0], upper[1], "sb B3 B3", "sb G3 E3"]);
        assert!(four.iter().all(|found| !found.contains("contrary")), "{four:?}");
    }

    /// Santa María (from memory): the last chord is filled up, but not by its outer voices.
    #[test]
    fn full_chords_at_an_end_on_the_keyboard() {
        let inner = ["sb C5 D5", "sb A4 Bb4", "sb E4 F4", "sb A3 Bb3"];
        let octaves = |rules, music: &[&str]| {
            let all = found_by(rules, music).into_iter();
            all.filter(|found| found.contains("octaves")).collect::<Vec<_>>()
        };
        let keyboard = |music: &[&str]| octaves(RuleSet::Keyboard, music);
        assert_eq!(keyboard(&inner), ["2: remark filled-octaves"]);
        assert_eq!(octaves(RuleSet::About1560, &inner), ["2: fault parallel-octaves"]);
        let midst = inner.map(|voice| format!("{voice} _"));
        assert_eq!(keyboard(&midst.each_ref().map(String::as_str)), ["2: fault parallel-octaves"]);
        let outer = ["sb A4 Bb4", "sb C4 F4", "sb A3 Bb3"];
        assert_eq!(keyboard(&outer), ["2: fault parallel-octaves"]);
    }

    #[test]
    fn a_semiminim_between_does_not_save_but_a_suspension_does() {
        assert_eq!(found(&["sm G4 E4 mn A4", "mn C4 D4"]), ["1: remark successive-fifths"]);
        assert_eq!(
            found(&["mn _ sb A4 G4 F4", "mn _ D4 sb C4 Bb3 A3"])
                .iter()
                .filter(|found| found.contains("fifths"))
                .count(),
            0
        );
    }

    #[test]
    fn direct_motion_of_the_outer_voices_if_the_upper_one_leaps() {
        assert_eq!(found(&["sb E4 A4", "sb C4 D4"]), ["2: remark direct-fifth"]);
        assert_eq!(found(&["sb E4 A4", "sb G3 A3"]), ["2: remark direct-octave"]);
        assert_eq!(found(&["sb G4 A4", "sb B3 D4"]), NOTHING);
        assert_eq!(
            found_by(RuleSet::Species, &["sb G4 A4", "sb B3 D4"]),
            ["2: fault direct-fifth"]
        );
        assert_eq!(found(&["sb A4 D5", "sb D4 D4"]), NOTHING);
    }

    /// Zarlino III, ch. 30 (from memory).
    #[test]
    fn two_major_thirds_by_a_whole_tone() {
        assert_eq!(found(&["sb A4 B4", "sb F4 G4"]), ["2: remark major-thirds"]);
        assert_eq!(found(&["sb E4 F4", "sb C4 D4"]), NOTHING);
    }

    /// Fux, second species: a leap of a third on the weak half does not save fifths (from memory).
    #[test]
    fn successive_fifths_in_the_second_species() {
        let species = |upper| found_by(RuleSet::Species, &[upper, "sb C4 D4"]);
        assert_eq!(species("mn G4 E4 A4 F4"), ["2: fault successive-fifths"]);
        assert_eq!(species("mn G4 C5 A4 F4"), NOTHING);
    }
}
