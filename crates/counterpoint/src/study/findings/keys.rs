//! What the fingers do: two voices on one key, and several notes in one voice.
//!
//! On the keyboard a key sounds once, whoever has it: a player must know who holds and who strikes
//! (Santa María, the treatise on the fantasia, 1565; from memory). A voice has several notes at once
//! where a last chord is filled up, and hardly elsewhere (common practice).

use super::Found;
use crate::study::moments::Moments;
use crate::study::rules::Rule;

/// Keys that two voices have, where one of them strikes; and notes of several at once.
pub(super) fn find(moments: &Moments, found: &mut Found<'_>) {
    for moment in moments.iter() {
        for (place, one) in moment.sounding.iter().enumerate() {
            let facts = one.note.of(found.texture).facts;
            if one.struck && facts.several && !facts.last {
                found.movement(Rule::SeveralNotes, moment.at, &[one.note]);
            }
            let key = one.height.semitones;
            let same = moment.sounding[place + 1..].iter();
            for other in same.filter(|other| other.height.semitones == key) {
                let (rule, notes) = match (one.struck, other.struck) {
                    (true, true) => (Rule::OneKey, [one.note, other.note]),
                    (false, true) => (Rule::HeldKey, [one.note, other.note]),
                    (true, false) => (Rule::HeldKey, [other.note, one.note]),
                    (false, false) => continue,
                };
                found.movement(rule, moment.at, &notes);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{NOTHING, found, found_by};
    use crate::study::rules::RuleSet;

    #[test]
    fn two_voices_on_one_key() {
        let music = ["sb F4 D4", "br D4"];
        assert_eq!(found_by(RuleSet::Keyboard, &music), ["2: remark held-key"]);
        assert_eq!(found(&music), NOTHING);
        let together = ["sb F4 D4", "sb A3 D4"];
        assert_eq!(found_by(RuleSet::Keyboard, &together), ["2: remark one-key"]);
        assert_eq!(found(&together), NOTHING);
    }

    /// An octave is two keys.
    #[test]
    fn two_keys_of_one_name() {
        assert_eq!(found_by(RuleSet::Keyboard, &["sb A4 D5", "br D4"]), NOTHING);
    }

    #[test]
    fn several_notes_in_one_voice() {
        assert_eq!(found(&["sb A4 F4+A4 F4", "br. D4"]), ["2: remark several-notes"]);
        assert_eq!(found(&["sb A4 A4 F4+A4", "br. D4"]), NOTHING);
    }
}
