//! Signs that are forgotten where voices close, and what no slip explains: in the madrigals of the
//! open data that nothing was tuned on.

use counterpoint::causes::LIKELY;
use counterpoint::mend::{Kind as Slip, look};
use suite::slips::{
    Group, Kind, Material, Planted, Rate, SlotVoice, forget_sign, is_reported, planted, report,
    scored, signs_at_cadences, text_of_slots, trial, untuned_madrigals,
};
use suite::{CLEAN_MADRIGALS, madrigal_parts, opendata};

/// Every printed sign at a cadence, forgotten by itself. Where the print leaves many other leading notes to
/// the singers, a missing sign proves little.
#[test]
fn a_sign_forgotten_at_a_cadence_is_among_the_first_five() {
    let Some(opendata) = opendata() else { return };
    let (mut rate, mut reported) = (Rate::default(), Rate::default());
    let mut alarms = 0;
    for piece in untuned_madrigals(&opendata) {
        for voice in 0..piece.voices.len() {
            for number in signs_at_cadences(&piece.voices, voice) {
                let kind = Kind::CadenceSignLeftOut;
                let voices: Vec<SlotVoice> = forget_sign(&piece.voices, voice, number);
                let slip = Planted { kind, voice, index: number as u32 + 1, voices };
                let rank = trial(&piece, vec![slip]).rank(0);
                rate.count(rank);
                if is_reported(&piece.name) {
                    reported.count(rank);
                }
            }
        }
        let clean = trial(&piece, Vec::new()).suggestions;
        let is_alarm = |slip: &counterpoint::mend::Suggestion| {
            slip.kind == Slip::AccidentalLeftOut && slip.slip_confidence >= LIKELY
        };
        alarms += usize::from(is_reported(&piece.name) && clean.iter().any(is_alarm));
    }
    for (rate, count, least) in [(rate, 45, 50.0), (reported, 30, 65.0)] {
        let [_, _, five] = rate.percent();
        assert!(rate.count >= count && five >= least, "{five} of {}", rate.count);
    }
    assert_eq!(alarms, 0);
}

/// Parallels and rows of untreated dissonances are in hardly any piece without slips.
#[test]
fn a_clean_madrigal_has_nothing_that_is_not_explained() {
    let Some(opendata) = opendata() else { return };
    let named = CLEAN_MADRIGALS.iter().filter(|name| {
        let text = madrigal_parts(&opendata, name);
        let (piece, score) = scored(&text);
        !look(&text, &piece, &score).unexplained.is_empty()
    });
    let named: Vec<&&str> = named.collect();
    assert!(named.len() <= 1, "{named:?}");
}

/// Two values of a voice are wrong: one slip at most is looked for there. Whatever is left is said.
#[test]
fn what_two_slips_of_a_voice_leave_is_never_passed_over() {
    let Some(opendata) = opendata() else { return };
    let (mut rows, mut told) = (0, 0);
    for piece in report(&opendata).iter().filter(|piece| piece.group == Group::Madrigals) {
        for slip in planted(piece, &[Kind::Halved, Kind::DotTooMany], 2, 7) {
            let again = Material { voices: slip.voices, ..piece.clone() };
            for slip in planted(&again, &[Kind::Doubled], 1, 8) {
                let text = text_of_slots(&slip.voices);
                let (parsed, score) = scored(&text);
                let looked = look(&text, &parsed, &score);
                let likely = looked.suggestions.iter().any(|slip| slip.slip_confidence >= LIKELY);
                rows += 1;
                told += usize::from(likely || !looked.unexplained.is_empty());
            }
        }
    }
    assert!(rows >= 10 && told == rows, "{told} of {rows}");
}
