//! Copies with planted slips, compared with what they are copied from. The planter knows nothing of
//! collation.

use std::collections::BTreeMap;

use counterpoint::mend::{mend, retype};
use notation::{apply, parse};
use proptest::prelude::*;
use score::{Basis, Difference, DifferenceKind};
use suite::slips::{
    Kind, Material, PITCH, Planted, RHYTHM, Random, SlotVoice, development, names, plant, planted,
    report, scored, slots, text_of_slots,
};
use suite::{Transcription, opendata};

/// The kind of difference that a slip makes.
fn difference(kind: Kind) -> DifferenceKind {
    match kind {
        Kind::Halved
        | Kind::Doubled
        | Kind::DotMissing
        | Kind::DotTooMany
        | Kind::PairHalved
        | Kind::PairDoubled
        | Kind::WordLeftOut
        | Kind::WordWrong
        | Kind::WordTooMany => DifferenceKind::Value,
        Kind::NoteLeftOut | Kind::RestLeftOut | Kind::LineLeftOut => DifferenceKind::Omission,
        Kind::TypedTwice => DifferenceKind::Addition,
        Kind::Step | Kind::Third | Kind::Octave | Kind::WrongClef | Kind::Exchanged => {
            DifferenceKind::Pitch
        }
        Kind::AccidentalLeftOut | Kind::AccidentalTooMany | Kind::CadenceSignLeftOut => {
            DifferenceKind::Accidental
        }
    }
}

/// What is printed of a voice, without ligatures.
fn prints(voice: &SlotVoice) -> Vec<String> {
    let print = |event: &&notation::Event| {
        let signs = event.signs.printed();
        format!("{} {:?} {:?} {signs}", event.value, event.dot, event.sound)
    };
    voice.events().iter().map(print).collect()
}

/// Whether a difference is the slip: its kind, its voice, and its event. Where one of several that are
/// alike is left out, or typed twice, it may be any of them: what counts is that without what is told
/// there is no difference.
fn is(found: &Difference, slip: &Planted, clean: &[SlotVoice], names: &[String]) -> bool {
    let place = |index: Option<u32>| index.map(|index| index as usize - 1);
    let there = |events: Vec<String>, from: Option<usize>, others: &[String]| {
        let Some(from) = from else { return false };
        let without = events[..from].iter().chain(&events[from + found.count..]);
        without.eq(others)
    };
    let (one, other) = (prints(&clean[slip.voice]), prints(&slip.voices[slip.voice]));
    let here = match found.kind {
        DifferenceKind::Omission => there(one, place(found.left.index), &other),
        DifferenceKind::Addition => there(other, place(found.right.index), &one),
        _ => found.right.index == Some(slip.index),
    };
    found.kind == difference(slip.kind) && found.voice == names[slip.voice] && here
}

fn voices(material: &Material) -> Vec<String> {
    let name = |voice: &SlotVoice| voice.opening.split(' ').nth(1).unwrap_or_default().to_owned();
    material.voices.iter().map(name).collect()
}

/// Every kind of slip in every clean piece: one difference, of its kind, in its voice, at its event.
#[test]
fn a_slip_is_one_difference() {
    let Some(opendata) = opendata() else { return };
    let kinds: Vec<Kind> = RHYTHM.into_iter().chain(PITCH).collect();
    let mut counts: BTreeMap<Kind, (usize, usize, usize, usize)> = BTreeMap::new();
    for material in development(&opendata).iter().chain(&report(&opendata)) {
        let clean = Transcription::new(&text_of_slots(&material.voices));
        let names = voices(material);
        // Each kind by itself, so that what is planted of one does not depend on the others.
        for slip in kinds.iter().flat_map(|kind| planted(material, &[*kind], 4, 11)) {
            let copy = Transcription::new(&text_of_slots(&slip.voices));
            let found = clean.against(&copy, Basis::Printed);
            let count = counts.entry(slip.kind).or_default();
            count.0 += 1;
            count.1 += usize::from(found.len() == 1);
            let [one] = found.as_slice() else { continue };
            count.2 += usize::from(is(one, &slip, &material.voices, &names));
            count.3 += usize::from(one.right.index == Some(slip.index));
        }
    }
    let mut table = String::from(
        "kind: planted, told as one difference, of the right kind and place, at that very event\n",
    );
    for (kind, (planted, one, right, same)) in counts {
        assert!(planted == one && one == right, "{kind:?}: {planted} {one} {right}");
        table.push_str(&format!("{kind:?}: {planted}, {one}, {right}, {same}\n"));
    }
    insta::assert_snapshot!("collate_planted", table);
}

/// Several slips far enough from each other.
fn far_apart(voices: &[SlotVoice], count: usize, seed: u64) -> (Vec<SlotVoice>, usize) {
    const KINDS: [Kind; 9] = [
        Kind::Halved,
        Kind::Doubled,
        Kind::DotMissing,
        Kind::DotTooMany,
        Kind::NoteLeftOut,
        Kind::RestLeftOut,
        Kind::TypedTwice,
        Kind::Third,
        Kind::Octave,
    ];
    let mut random = Random::new(seed);
    let mut voices = voices.to_vec();
    let mut places: Vec<(usize, u32)> = Vec::new();
    for _ in 0..count * 4 {
        let (voice, kind) = (random.below(voices.len()), KINDS[random.below(KINDS.len())]);
        let Some(slip) = plant(&voices, voice, kind, &mut random) else { continue };
        let far =
            |(other, index): &(usize, u32)| *other != voice || index.abs_diff(slip.index) > 30;
        if places.iter().all(far) {
            places.push((voice, slip.index));
            voices = slip.voices;
        }
        if places.len() == count {
            break;
        }
    }
    (voices, places.len())
}

/// A piece of two voices, of notes that are drawn.
fn piece(seed: u64) -> Vec<SlotVoice> {
    let mut random = Random::new(seed);
    let mut text = String::new();
    for (name, clef) in [("Cantus", "C1"), ("Tenor", "C4")] {
        let octave = if name == "Cantus" { 4 } else { 3 };
        text.push_str(&format!("voice {name} clef {clef}\n"));
        for _ in 0..200 {
            let value = ["sb", "mn", "mn", "sm"][random.below(4)];
            let step = ["D", "E", "F", "G", "A"][random.below(5)];
            let word =
                if random.below(12) == 0 { "_".to_owned() } else { format!("{step}{octave}") };
            text.push_str(&format!(" {value} {word}"));
        }
        text.push('\n');
    }
    slots(&parse(&text).piece)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Against a copy with n slips there are n differences, and as many variants.
    #[test]
    fn as_many_differences_as_slips(piece_seed in any::<u64>(), seed in any::<u64>(), count in 0..6_usize) {
        let clean = piece(piece_seed);
        let (copy, count) = far_apart(&clean, count, seed);
        let (clean, copy) = (text_of_slots(&clean), text_of_slots(&copy));
        let (one, other) = (Transcription::new(&clean), Transcription::new(&copy));
        let found = one.against(&other, Basis::Printed);
        prop_assert_eq!(found.len(), count, "{:#?}", found);
        let (merged, unwritten) = one.with_variants(&other);
        prop_assert_eq!((merged.matches("<?").count(), unwritten), (count, 0));
        // The first side is what was there.
        prop_assert_eq!(Transcription::new(&merged).against(&one, Basis::Printed), []);
    }
}

/// What came of a suggestion that names the event of a slip.
#[derive(Clone, Copy, Debug, Default)]
struct Mended {
    /// It is typed, and nothing differs from the original any more.
    undone: usize,
    /// It says too little to be typed: which notes a line had that is left out.
    not_typed: usize,
    /// Where a wrong clef ends is judged otherwise, so that some notes still differ, one stretch of them.
    other_extent: usize,
    /// It sees the event, but takes it for another slip: a value for a rest left out, another pitch.
    other_repair: usize,
}

/// The right suggestion typed: then nothing differs from the original any more. Where it does, that is
/// for one of three reasons.
#[test]
fn the_right_suggestion_undoes_a_slip() {
    let Some(opendata) = opendata() else { return };
    let kinds: Vec<Kind> = RHYTHM.into_iter().chain(PITCH).collect();
    let mut counts: BTreeMap<Kind, Mended> = BTreeMap::new();
    for material in report(&opendata).iter().step_by(3) {
        let clean = Transcription::new(&text_of_slots(&material.voices));
        for slip in planted(material, &kinds, 1, 5) {
            let text = text_of_slots(&slip.voices);
            let (parsed, score) = (parse(&text), scored(&text).1);
            let found = mend(&text, &parsed.piece, &score);
            let right: Vec<_> = found.iter().filter(|found| names(found, &slip)).collect();
            if right.is_empty() {
                continue;
            }
            let typed = right.iter().filter_map(|found| retype(&text, &parsed, found));
            let left: Vec<Vec<Difference>> = typed
                .map(|edits| Transcription::new(&apply(&text, &edits)))
                .map(|mended| clean.against(&mended, Basis::Printed))
                .collect();
            let count = counts.entry(slip.kind).or_default();
            let one_stretch = |left: &Vec<Difference>| matches!(left.as_slice(), [one] if one.kind == DifferenceKind::Pitch);
            if left.iter().any(Vec::is_empty) {
                count.undone += 1;
            } else if left.is_empty() {
                count.not_typed += 1;
            } else if slip.kind == Kind::WrongClef && left.iter().any(one_stretch) {
                count.other_extent += 1;
            } else {
                count.other_repair += 1;
            }
        }
    }
    let lines: String =
        counts.iter().map(|(kind, mended)| format!("{kind:?}: {mended:?}\n")).collect();
    insta::assert_snapshot!("collate_mended", lines);
}
