//! Slips planted at random into clean pieces of the open data that were not tuned on.

use std::fmt::Write as _;
use std::thread;

use counterpoint::mend::{emend, mend, retype};
use notation::{Code, apply, parse};
use suite::opendata;
use suite::slips::{
    Amount, Group, Kind, Rate, Results, SlotVoice, in_threes, measure, planted, report, scored,
    text_of_slots,
};

/// The least that must be found, in percent: among the first one, three and five.
fn at_least(rate: Rate, aims: [f64; 3], what: &str) {
    let percent = rate.percent();
    for (found, aim) in percent.iter().zip(aims) {
        assert!(*found >= aim, "{what}: {percent:?}, wanted {aims:?}");
    }
}

fn meets_the_aims(madrigals: &Results, duos: &Results) {
    at_least(madrigals.rhythm, [70.0, 88.0, 94.0], "rhythm in five voices");
    at_least(duos.rhythm, [50.0, 75.0, 85.0], "rhythm in duos");
    at_least(madrigals.of(Kind::Step), [0.0, 0.0, 55.0], "steps in five voices");
    let mut words = Rate::default();
    for kind in [Kind::WordLeftOut, Kind::WordWrong, Kind::WordTooMany] {
        let of = madrigals.of(kind);
        words.count += of.count;
        for (all, within) in words.within.iter_mut().zip(of.within) {
            *all += within;
        }
    }
    at_least(words, [80.0, 92.0, 96.0], "value words in five voices");
    for results in [madrigals, duos] {
        let (both, _, pairs) = results.pairs;
        assert!(both * 2 >= pairs, "{:?}: {both} of {pairs} pairs", results.group);
    }
    let clean = madrigals.clean.0 + duos.clean.0;
    let alarms = madrigals.clean.1 + duos.clean.1;
    assert!(alarms * 10 <= clean, "{alarms} of {clean}");
}

/// The whole table, as it was committed; its three groups side by side, since it takes minutes.
#[test]
fn the_table_is_as_committed() {
    let Some(opendata) = opendata() else { return };
    let pieces = report(&opendata);
    let threes = in_threes(&opendata);
    let [madrigals, duos, threes] = thread::scope(|scope| {
        [(&pieces, Group::Madrigals), (&pieces, Group::Duos), (&threes, Group::Threes)]
            .map(|(pieces, group)| scope.spawn(move || measure(pieces, group, Amount::full(group))))
            .map(|measured| measured.join().unwrap())
    });
    meets_the_aims(&madrigals, &duos);
    at_least(threes.rhythm, [70.0, 88.0, 94.0], "rhythm in threes");
    let mut table = String::new();
    let _ = write!(table, "{madrigals}\n{duos}\n{threes}");
    insta::assert_snapshot!("mend_planted", table);
}

/// A voice of the madrigals that are written with a flat, typed without its signature, is named by `check`.
#[test]
fn a_voice_without_its_signature_is_named() {
    let Some(opendata) = opendata() else { return };
    let mut typed = 0;
    for piece in report(&opendata).iter().filter(|piece| piece.group == Group::Madrigals) {
        let has_flat = |voice: &SlotVoice| voice.opening.contains("signature Bb");
        for voice in (0..piece.voices.len()).filter(|_| piece.voices.iter().all(has_flat)) {
            let mut voices = piece.voices.clone();
            voices[voice].opening = voices[voice].opening.replace("signature Bb", "signature none");
            let parsed = parse(&text_of_slots(&voices));
            let checked = score::check(&parsed.piece, score::BarLength::Breve, 9);
            let mut found = checked.diagnostics.iter();
            let lone = found.find(|found| found.code == Code::LoneSignature);
            let lone = lone.unwrap_or_else(|| panic!("{} {voice}", piece.name));
            assert_eq!(lone.span, parsed.piece.voices[voice].span, "{}", piece.name);
            typed += 1;
        }
    }
    assert!(typed >= 5, "{typed}");
}

/// What is suggested first is typed again, or emended, and the slip is gone; all other bytes stay.
#[test]
fn the_right_suggestion_makes_the_slip_disappear() {
    let Some(opendata) = opendata() else { return };
    let pieces = report(&opendata);
    let piece = pieces.iter().find(|piece| piece.group == Group::Duos).unwrap();
    let clean = text_of_slots(&piece.voices);
    let (_, clean_score) = scored(&clean);
    let onsets = |score: &score::Score| -> Vec<Vec<rudiments::Time>> {
        let voices = score.voices.iter();
        voices.map(|voice| voice.events.iter().map(|event| event.onset).collect()).collect()
    };
    let mut undone = 0;
    for kind in [Kind::Halved, Kind::Doubled, Kind::DotTooMany, Kind::TypedTwice] {
        for slip in planted(piece, &[kind], 2, 3) {
            let text = text_of_slots(&slip.voices);
            let (parsed, score) = (parse(&text), scored(&text).1);
            let found = mend(&text, &parsed.piece, &score);
            let Some(right) = found.iter().find(|found| suite::slips::names(found, &slip)) else {
                continue;
            };
            for edits in [retype(&text, &parsed, right), emend(&text, &parsed, right)] {
                let edits = edits.unwrap_or_else(|| panic!("{right:#?}"));
                let bytes: usize = edits.iter().map(|edit| edit.span.range().len()).sum();
                assert!(bytes <= 24, "{edits:#?}");
                let mended = apply(&text, &edits);
                undone += usize::from(onsets(&scored(&mended).1) == onsets(&clean_score));
            }
        }
    }
    assert!(undone >= 8, "{undone}");
}
