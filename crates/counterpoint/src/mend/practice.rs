//! The signs that singers would have added, noted at the notes of a texture.

use score::Score;

use super::candidate::signed;
use crate::asked::{Asked, AskedSign, Others};
use crate::study::accidentals::{AccidentalReason, ProposedAccidental, accidentals};
use crate::study::cadences::{cadences, final_step};
use crate::study::moments::{Moments, NoteRef};
use crate::study::suspension::suspensions;
use crate::texture::{Note, Texture};

/// The signs that the practice of singers asks for in a texture of a score.
pub(super) fn proposed(texture: &Texture, score: &Score) -> Vec<ProposedAccidental> {
    let moments = Moments::new(texture);
    let suspensions = suspensions(texture, &moments);
    let last = final_step(texture);
    let cadences = cadences(texture, score, &moments, &suspensions, last);
    accidentals(texture, &moments, &cadences)
}

/// Notes at every note the sign that is asked for: where a sign alters it, what would be asked for if
/// no note of the piece had one.
pub(super) fn ask(texture: &mut Texture, score: &Score) {
    let mut hidden = texture.clone();
    let notes = hidden.lines.iter_mut().flat_map(|line| &mut line.notes);
    for note in notes.filter(|note| note.pitch.is_some_and(|pitch| pitch.altered)) {
        *note = signed(*note, None);
    }
    let (typed, hidden) = (proposed(texture, score), proposed(&hidden, score));
    for note in texture.lines.iter_mut().flat_map(|line| &mut line.notes) {
        note.facts.asked = None;
    }
    note_at(texture, &typed, false);
    note_at(texture, &hidden, true);
    look_at_others(texture);
}

/// Notes at every sign that is asked for what the print does with the other leading notes. Prints that
/// sign most of these have overlooked the last; prints that do not leave it to the singers (common
/// practice).
fn look_at_others(texture: &mut Texture) {
    let notes = || texture.lines.iter().flat_map(|line| &line.notes);
    let leading = |note: &&Note| note.facts.asked.is_some_and(|asked| asked.why == Asked::Leading);
    let is_signed = |note: &Note| note.pitch.is_some_and(|pitch| pitch.altered);
    let signed = notes().filter(leading).filter(|note| is_signed(note)).count() as u32;
    let plain = notes().filter(leading).count() as u32 - signed;
    let notes = texture.lines.iter_mut().flat_map(|line| &mut line.notes);
    for note in notes {
        let is_signed = is_signed(note);
        let Some(asked) = &mut note.facts.asked else { continue };
        asked.others = Others { signed, plain };
        if asked.why == Asked::Leading {
            let own = if is_signed { &mut asked.others.signed } else { &mut asked.others.plain };
            *own -= 1;
            if asked.others.plain >= asked.others.signed {
                asked.why = Asked::LeftLeading;
            }
        }
    }
}

/// Notes what is proposed at the notes that a sign alters, or at the others.
fn note_at(texture: &mut Texture, proposed: &[ProposedAccidental], altered: bool) {
    for one in proposed {
        let (Some(why), Some(note)) = (why(one), NoteRef::of_event(texture, one.event)) else {
            continue;
        };
        let note = note.of_mut(texture);
        if let Some(height) = note.pitch.filter(|height| height.altered == altered) {
            let signature = note.signature.alteration(height.tone().step);
            let by = i16::from(one.pitch.alteration - signature);
            note.facts.asked = Some(AskedSign { by, why, others: Others::default() });
        }
    }
}

/// Why a sign is proposed, as it is weighed; nothing for one that only repeats another.
fn why(one: &ProposedAccidental) -> Option<Asked> {
    Some(match one.reason {
        AccidentalReason::Cadence | AccidentalReason::Ornament if one.is_certain() => {
            Asked::Leading
        }
        AccidentalReason::Cadence | AccidentalReason::Ornament => Asked::DoubtfulLeading,
        AccidentalReason::ThirdAtEnd => Asked::End,
        AccidentalReason::FaAboveLa => Asked::FaAboveLa,
        AccidentalReason::TritoneInLine => Asked::Tritone,
        AccidentalReason::FalseFifth => Asked::FalseFifth,
        AccidentalReason::SixthToOctave | AccidentalReason::ThirdToUnison => Asked::Progression,
        AccidentalReason::Repeated => return None,
    })
}
