//! Staves: their clefs and signatures, and on which one each segment stands.

use std::collections::HashMap;

use rudiments::{Clef, ClefShape, Pitch, Place, Signature, Time};

use super::hands::Hands;
use super::{ArrangedBar, Options, Staff};
use crate::{Change, Score, TimedEvent, TimedVoice};
use notation::Hand;

/// The usual clef of the upper staff.
pub(super) const TREBLE: Clef = Clef { shape: ClefShape::G, line: 2 };

/// The usual clef of the lower staff.
pub(super) const BASS: Clef = Clef { shape: ClefShape::F, line: 4 };

/// The modern clefs of a single voice, with the octaves by which they sound higher; of clefs that
/// suit a voice alike the first is taken.
const OPEN_CLEFS: [(Clef, i8); 3] = [(TREBLE, 0), (BASS, 0), (TREBLE, -1)];

/// Ledger lines at a place of the staff.
pub(super) fn ledger_lines(place: Place) -> u32 {
    match place {
        ..=0 => (2 - place) as u32 / 2,
        12.. => (place as u32 - 10) / 2,
        _ => 0,
    }
}

/// The two staves of a keyboard score, under their usual clefs. Both have the signature of most
/// voices.
pub(super) fn keyboard(score: &Score, options: &Options) -> Vec<Staff> {
    let signatures = common_signatures(score, options);
    [TREBLE, BASS]
        .map(|clef| Staff {
            clefs: vec![(0, clef)],
            octave_change: 0,
            signatures: signatures.clone(),
        })
        .into()
}

/// Ledger lines of a pitch under that clef of a keyboard score under which it has fewer.
pub(super) fn fewest_ledger_lines(pitch: Pitch) -> u32 {
    let [treble, bass] = [TREBLE, BASS].map(|clef| ledger_lines(clef.place_of(pitch.tone)));
    treble.min(bass)
}

/// A staff for each voice, with the modern clef under which it has the fewest ledger lines.
pub(super) fn open(score: &Score, options: &Options) -> Vec<Staff> {
    let staff = |voice: &TimedVoice| {
        let notes = || voice.events.iter().flat_map(|event| &event.notes);
        let lines = |clef: Clef, octave_change: i8| -> u64 {
            let staff = Staff { clefs: vec![(0, clef)], octave_change, signatures: Vec::new() };
            notes()
                .map(|note| staff.place_of(options.transposed(note.pitch).tone, 0))
                // Two lines are worse than twice one line.
                .map(|place| u64::from(ledger_lines(place)).pow(2))
                .sum()
        };
        let best = OPEN_CLEFS.into_iter().min_by_key(|(clef, octave)| lines(*clef, *octave));
        let (clef, octave_change) = best.unwrap_or((TREBLE, 0));
        let first = options.transposed_signature(voice.signature);
        let mut signatures = vec![(0, first)];
        let changes = signature_changes(voice);
        for (at, signature) in changes {
            set(&mut signatures, score, at, options.transposed_signature(signature));
        }
        Staff { clefs: vec![(0, clef)], octave_change, signatures }
    };
    score.voices.iter().map(staff).collect()
}

fn signature_changes(voice: &TimedVoice) -> impl Iterator<Item = (Time, Signature)> {
    voice.changes.iter().filter_map(|(at, change)| match change {
        Change::Signature(signature) => Some((*at, *signature)),
        _ => None,
    })
}

/// Lets a signature begin with the first bar that does not begin earlier than it does.
fn set(signatures: &mut Vec<(usize, Signature)>, score: &Score, at: Time, signature: Signature) {
    let bar = score.bars.partition_point(|bar| bar.start < at);
    if bar == score.bars.len() {
        return;
    }
    if signatures.last().is_some_and(|(last, _)| *last == bar) {
        signatures.pop();
    }
    if signatures.last().is_none_or(|(_, before)| *before != signature) {
        signatures.push((bar, signature));
    }
}

/// The signature that most voices have, through the piece; where two are as common, that of the
/// lower voice, which in partial signatures has the flats that all voices come to need.
fn common_signatures(score: &Score, options: &Options) -> Vec<(usize, Signature)> {
    let mut now: Vec<Signature> = score.voices.iter().map(|voice| voice.signature).collect();
    let mut changes: Vec<(Time, usize, Signature)> = Vec::new();
    for (place, voice) in score.voices.iter().enumerate() {
        changes.extend(signature_changes(voice).map(|(at, signature)| (at, place, signature)));
    }
    changes.sort_by_key(|(at, ..)| *at);
    let mut counts: HashMap<Signature, usize> = HashMap::new();
    for signature in &now {
        *counts.entry(*signature).or_default() += 1;
    }
    let common = |counts: &HashMap<Signature, usize>, now: &[Signature]| {
        let most = now.iter().max_by_key(|signature| counts.get(signature));
        options.transposed_signature(most.copied().unwrap_or_default())
    };
    let mut signatures = vec![(0, common(&counts, &now))];
    for at_once in changes.chunk_by(|one, other| one.0 == other.0) {
        for (_, voice, signature) in at_once {
            if let Some(count) = counts.get_mut(&now[*voice]) {
                *count -= 1;
            }
            *counts.entry(*signature).or_default() += 1;
            now[*voice] = *signature;
        }
        set(&mut signatures, score, at_once[0].0, common(&counts, &now));
    }
    signatures
}

/// Puts the segments of a voice on their staves: on its own where `hands` is nothing, otherwise
/// on that of the hand that plays the note.
///
/// A rest stands on the staff of the note before it in the bar, or else of the next note.
pub(super) fn place(score: &Score, hands: Option<&Hands>, bars: &mut [ArrangedBar<'_>]) {
    for (voice, timed) in score.voices.iter().enumerate() {
        match hands {
            Some(hands) => place_voice(timed, voice, hands.of_voice(voice), bars),
            None => {
                let segments = bars.iter_mut().flat_map(|bar| &mut bar.voices[voice]);
                segments.for_each(|segment| segment.staff = voice);
            }
        }
    }
}

fn place_voice(timed: &TimedVoice, voice: usize, hands: &[Hand], bars: &mut [ArrangedBar<'_>]) {
    // The next note from a rest on.
    let mut next = 0;
    let mut before = Hand::Right;
    for bar in bars {
        let mut in_this_bar = None;
        for segment in &mut bar.voices[voice] {
            let hand = if segment.is_rest() {
                next = next.max(segment.event);
                while timed.events.get(next).is_some_and(TimedEvent::is_rest) {
                    next += 1;
                }
                in_this_bar.or(hands.get(next).copied()).unwrap_or(before)
            } else {
                before = hands[segment.event];
                in_this_bar = Some(before);
                before
            };
            segment.staff = hand.staff();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::score;
    use super::super::{Options, Staves, arrange};
    use super::*;

    /// Common practice: middle C has a ledger line under both clefs.
    #[test]
    fn ledger_lines_outside_the_staff() {
        let lines = |clef: Clef, text: &str| {
            ledger_lines(clef.place_of(super::super::testing::pitch(text).tone))
        };
        assert_eq!(lines(TREBLE, "C4"), 1);
        assert_eq!(lines(TREBLE, "D4"), 0);
        assert_eq!(lines(TREBLE, "A3"), 2);
        assert_eq!(lines(TREBLE, "G5"), 0);
        assert_eq!(lines(TREBLE, "A5"), 1);
        assert_eq!(lines(TREBLE, "C6"), 2);
        assert_eq!(lines(BASS, "C4"), 1);
        assert_eq!(lines(BASS, "E2"), 1);
    }

    #[test]
    fn each_voice_has_a_clef_that_suits_it() {
        let score =
            score(4, &["D4:2 G5:2 D5:4", "F3:2 G4:2 C4:4", "C3:2 F4:2 G3:4", "G2:2 C4:2 D3:4"]);
        let staves = open(&score, &Options::default());
        let clefs: Vec<_> =
            staves.iter().map(|s| format!("{}{:+}", s.clef_in(0), s.octave_change)).collect();
        assert_eq!(clefs, ["G2+0", "G2-1", "G2-1", "F4+0"]);
    }

    #[test]
    fn an_octave_lowered_clef_lowers_its_places() {
        let clefs = vec![(0, TREBLE)];
        let staff = Staff { clefs, octave_change: -1, signatures: Vec::new() };
        assert_eq!(staff.place_of(super::super::testing::pitch("E3").tone, 0), 2);
    }

    fn with_signatures(signatures: [&str; 4]) -> Score {
        let mut score = score(4, &["C5:12", "F4:12", "C4:12", "F3:12"]);
        for (voice, signature) in score.voices.iter_mut().zip(signatures) {
            voice.signature = Signature::parse(signature).unwrap();
        }
        score
    }

    fn signatures(score: &Score) -> Vec<String> {
        let staves = keyboard(score, &Options::default());
        let say = |(bar, signature): &(usize, Signature)| format!("{bar} {signature}");
        staves[0].signatures.iter().map(say).collect()
    }

    #[test]
    fn the_signature_of_most_voices() {
        assert_eq!(signatures(&with_signatures(["none", "none", "none", "Bb"])), ["0 none"]);
        assert_eq!(signatures(&with_signatures(["none", "none", "Bb", "Bb"])), ["0 Bb"]);
    }

    #[test]
    fn a_signature_changes_with_the_next_bar() {
        let mut score = with_signatures(["none"; 4]);
        for voice in &mut score.voices[1..] {
            let flat = Signature::parse("Bb").unwrap();
            voice.changes.push((Time::minims(5), Change::Signature(flat)));
        }
        assert_eq!(signatures(&score), ["0 none", "2 Bb"]);
        score.voices[1].changes.clear();
        score.voices[2].changes.clear();
        assert_eq!(signatures(&score), ["0 none"]);
    }

    #[test]
    fn a_rest_stands_with_the_note_before_it_or_else_with_the_next() {
        let score = score(4, &["_:4 C5:2 _:2 _:4 G2:4 _:2 _:2"]);
        let arrangement = arrange(&score, Options::default());
        let staves: Vec<Vec<usize>> = arrangement
            .bars
            .iter()
            .map(|bar| bar.voices[0].iter().map(|segment| segment.staff).collect())
            .collect();
        assert_eq!(staves, [vec![0], vec![0, 0], vec![1], vec![1], vec![1]]);
        let open = arrange(&score, Options { staves: Staves::Open, ..Options::default() });
        assert!(open.bars.iter().flat_map(|bar| &bar.voices[0]).all(|segment| segment.staff == 0));
    }
}
