//! Small pairs: what is heard, how they go on, where they are joined.

use std::collections::BTreeSet;

use rudiments::{Pitch, Signature, Step, Time, Tone};

use super::bridge::{Resolved, Stem};
use super::first::First;
use super::heard::{Counted, Heard};
use super::place::Goal;
use super::*;
use crate::invention::PartNote;
use crate::invention::line::{Line, MINIM, Tick, ticks};
use crate::study::testing::{scored, voices};
use crate::study::{RuleSet, judge};

/// Notes such as `D4 2, E4 1`: pitches and minims; `_` is a rest.
fn line(music: &str) -> Vec<PartNote> {
    let mut at = Time::ZERO;
    let mut notes = Vec::new();
    for word in music.split(", ") {
        let (tone, minims) = word.split_once(' ').unwrap();
        let length = Time::minims(minims.parse().unwrap());
        if tone != "_" {
            let (step, octave) = tone.split_at(1);
            let step = Step::ALL.into_iter().find(|one| one.to_string() == step).unwrap();
            let pitch = Pitch::new(Tone::new(step, octave.parse().unwrap()), 0);
            notes.push(PartNote { pitch, at, length, is_subject: true, is_signed: false });
        }
        at += length;
    }
    notes
}

fn pair(one: &str, other: &str) -> Duo {
    Duo::new(vec![line(one), line(other)], Signature::NONE).unwrap()
}

fn all(_: &Joined) -> bool {
    true
}

/// What is heard of bare notes is what a study finds in the same notes as text.
#[test]
fn bare_notes_are_heard_as_text_is() {
    let text = include_str!("../../../../../fixtures/two-duos.parts");
    let unsound = voices(&["sb A4 B4 mn C5 B4 sb A4", "sb D4 E4 A3 F3", "mn _ D3 sb B2 C3 D3"]);
    for text in [text, &unsound] {
        let (piece, score) = scored(text);
        let lines: Vec<Line> = score
            .voices
            .iter()
            .map(|voice| {
                let notes = (0..).zip(&voice.events).filter_map(|(number, event)| {
                    let pitch = event.notes.first()?.pitch;
                    Some(Tick::of(pitch, ticks(event.onset), ticks(event.end()), number))
                });
                notes.collect()
            })
            .collect();
        let numbered: Vec<(usize, &[Tick])> = lines.iter().map(Vec::as_slice).enumerate().collect();
        let heard = Heard::new(Counted::plain(), &numbered);
        let judged = judge(&piece, &score, RuleSet::About1560);
        assert!(!judged.findings.is_empty());
        assert_eq!(heard.findings, judged.findings);
    }
}

#[test]
fn a_pair_has_two_voices() {
    let voices = |count: usize| {
        let voices = (0..count).map(|_| line("D4 2")).collect();
        Duo::new(voices, Signature::NONE).map(|_| ())
    };
    assert_eq!(voices(2), Ok(()));
    assert_eq!(voices(3), Err(NoDuo::Voices(3)));
    let silent = Duo::new(vec![line("D4 2"), line("_ 2")], Signature::NONE);
    assert_eq!(silent.map(|_| ()), Err(NoDuo::Voices(1)));
}

/// A clausula vera on D: its goal is the place for a pair an octave lower.
const CLOSE: [&str; 2] = ["_ 2, A4 1, D5 2, C5 1, D5 4", "D4 2, F4 2, E4 2, D4 4"];

fn close() -> Duo {
    let mut pair = [line(CLOSE[0]), line(CLOSE[1])];
    pair[0][2].pitch.alteration = 1;
    Duo::new(pair.to_vec(), Signature::NONE).unwrap()
}

#[test]
fn upon_the_goal_an_octave_lower() {
    let found = join(&close(), &close(), &Asked::default(), &all);
    let first = &found[0];
    assert_eq!((first.place, first.steps, first.at), (Place::UponGoal, -7, Time::minims(6)));
    assert_eq!((first.above, first.meanwhile, first.makes), (false, Meanwhile::Holds, None));
    assert_eq!(first.cadence.as_ref().unwrap().kind.name(), "seventh");
    assert_eq!(first.bridge, None);
}

/// Whoever enters on the cadential semibreve neither doubles the suspended D nor takes its resolution, C.
#[test]
fn what_is_suspended_is_left_alone() {
    let asked = Asked { all: true, most: 500, ..Asked::default() };
    let found = join(&close(), &close(), &asked, &all);
    let entering: BTreeSet<String> = found
        .iter()
        .filter(|joined| joined.place == Place::OnSemibreve)
        .flat_map(|joined| {
            let firsts = joined.voices[2..].iter().filter_map(|voice| voice.first());
            let entering = firsts.filter(|note| note.at == joined.at);
            entering.map(|note| note.pitch.tone.step.to_string()).collect::<Vec<String>>()
        })
        .collect();
    assert!(!entering.is_empty());
    assert!(!entering.contains("D") && !entering.contains("C"), "{entering:?}");
}

/// Transposed by a fifth it is exact with a sign, by an octave without.
#[test]
fn signs_follow_the_transposition() {
    let asked = Asked { most: 500, ..Asked::default() };
    let second = pair("D4 1, E4 1, F4 2", "_ 2, D4 2");
    let found = join(&close(), &second, &asked, &all);
    let signs = |steps: i32| {
        let joined = found.iter().find(|one| one.steps == steps).unwrap();
        let signs = joined.signs.iter().map(|sign| sign.pitch.to_string());
        (joined.quality.name(), signs.collect::<Vec<String>>())
    };
    assert_eq!(signs(-7), ("exact", vec![]));
    assert_eq!(signs(-4), ("exact", vec!["Bb3".to_owned()]));
}

/// Above, the second pair fits nothing that the first sounds: this must go on, and for as short as it can.
#[test]
fn a_bridge_where_nothing_fits() {
    let first = pair("E5 2, D5 2, C5 2, B4 2", "C4 2, D4 2, E4 2, G4 2");
    let second = pair("C5 2, B4 1, A4 2", "_ 1, C5 1, D5 1, E5 2");
    let asked = |extend| Asked { extend, above: Some(true), ..Asked::default() };
    let without = join(&first, &second, &asked(0), &all);
    assert!(without.iter().all(|joined| joined.place == Place::End), "{without:#?}");
    let found = join(&first, &second, &asked(4), &all);
    assert_eq!((found[0].place, found[0].bridge), (Place::UponGoal, Some(1)));
    let new = found[0].voices[..2].iter().flatten().filter(|note| !note.is_subject);
    assert_eq!(new.count(), 4);
}

/// Both voices of a stem, and their good ways of so many minims, found by trying everything.
fn by_force(one: &[(i32, i64)], other: &[(i32, i64)], minims: i64) -> BTreeSet<[i32; 2]> {
    /// All rhythms of so many minims in minims and semibreves.
    fn rhythms(minims: i64) -> Vec<Vec<i64>> {
        match minims {
            0 => vec![vec![]],
            _ => [1, 2]
                .into_iter()
                .filter(|value| *value <= minims)
                .flat_map(|value| {
                    rhythms(minims - value).into_iter().map(move |mut rest| {
                        rest.insert(0, value);
                        rest
                    })
                })
                .collect(),
        }
    }
    /// All melodies of a rhythm that are sung.
    fn melodies(stem: &[(i32, i64)], rhythm: &[i64]) -> Vec<Vec<(i32, i64)>> {
        let mut found = vec![stem.to_vec()];
        for value in rhythm {
            found = found
                .iter()
                .flat_map(|melody| {
                    (-4..=4).map(move |steps| {
                        let mut longer = melody.clone();
                        longer.push((melody.last().unwrap().0 + steps, *value));
                        longer
                    })
                })
                .filter(|melody| is_sung(melody))
                .collect();
        }
        found
    }
    fn is_sung(melody: &[(i32, i64)]) -> bool {
        let [.., before, from, to] = melody else { return true };
        let (first, second) = (from.0 - before.0, to.0 - from.0);
        let twice = (first == 0 && second == 0)
            || (first.abs() > 1 && second.abs() > 1 && (first > 0) == (second > 0));
        let keys = (key(to.0) - key(from.0)).abs();
        let pure = match second.abs() {
            3 => keys == 5,
            4 => keys == 7,
            _ => true,
        };
        let rungs = melody.iter().map(|note| note.0);
        let compass = rungs.clone().max().unwrap() - rungs.min().unwrap();
        pure && !twice && compass <= 9
    }
    /// Semitones of a rung on the white keys.
    fn key(rung: i32) -> i32 {
        rung.div_euclid(7) * 12 + [0, 2, 4, 5, 7, 9, 11][rung.rem_euclid(7) as usize]
    }
    fn at(melody: &[(i32, i64)], moment: i64) -> (i32, i64) {
        let mut begin = 0;
        for (rung, value) in melody {
            if moment < begin + value {
                return (*rung, begin);
            }
            begin += value;
        }
        (melody.last().unwrap().0, begin)
    }
    fn meet(one: &[(i32, i64)], other: &[(i32, i64)], from: i64, until: i64) -> bool {
        (from..=until).all(|moment| {
            let ((first, began), (second, begun)) = (at(one, moment), at(other, moment));
            let (steps, keys) = (first - second, key(first) - key(second));
            let class = (steps % 7, keys % 12);
            let consonant = matches!(class, (0, 0) | (2, 3 | 4) | (4, 7) | (5, 8 | 9));
            let both = began == moment && begun == moment;
            let (before, also) = (at(one, moment - 1).0, at(other, moment - 1).0);
            let moved = both && before != first && also != second;
            let alike = matches!(steps % 7, 0 | 4) && (before - also) % 7 == steps % 7;
            steps >= 0 && consonant && !(moved && alike)
        })
    }
    let end: i64 = one.iter().map(|note| note.1).sum();
    let mut lasts = BTreeSet::new();
    let ways = |stem: &[(i32, i64)]| -> Vec<Vec<(i32, i64)>> {
        let rhythms = rhythms(minims).into_iter().map(|mut rhythm| {
            rhythm.push(4);
            rhythm
        });
        rhythms.flat_map(|rhythm| melodies(stem, &rhythm)).collect()
    };
    let (firsts, seconds) = (ways(one), ways(other));
    for first in &firsts {
        for second in &seconds {
            let pair = [first.last().unwrap().0, second.last().unwrap().0];
            if !lasts.contains(&pair) && meet(first, second, end, end + minims) {
                lasts.insert(pair);
            }
        }
    }
    lasts
}

/// The bridges without a cadence lead to all last notes to which any bridge leads, and to no others.
#[test]
fn bridges_are_all_that_there_are() {
    for (one, other) in [
        ([("D4", 2), ("E4", 2)], [("G3", 2), ("C3", 2)]),
        ([("B4", 2), ("A4", 2)], [("G4", 2), ("F4", 2)]),
        ([("C5", 1), ("D5", 2)], [("F4", 1), ("D4", 2)]),
    ] {
        let music = |notes: [(&str, i64); 2]| {
            notes.map(|(tone, minims)| format!("{tone} {minims}")).join(", ")
        };
        let duo = pair(&music(one), &music(other));
        let rungs = |voice: usize| -> Vec<(i32, i64)> {
            let notes = duo.voices()[voice].iter();
            notes.map(|note| (note.pitch.tone.rung(), note.length.numerator())).collect()
        };
        let goal = Goal { dissonance: None, at: 0, rung: 0 };
        let first = First { lines: duo.lines(), goals: vec![goal], bridge: None };
        for minims in 1..=2 {
            let mut stem = Stem::new(&first, Counted::plain(), Signature::NONE).unwrap();
            let found: BTreeSet<[i32; 2]> = stem
                .plain(minims)
                .iter()
                .map(|first| first.lines.each_ref().map(|line| line.last().unwrap().rung))
                .collect();
            let expected = by_force(&rungs(0), &rungs(1), minims as i64);
            assert!(!expected.is_empty());
            assert_eq!(found, expected, "{one:?} {other:?} {minims}");
        }
    }
}

/// The same question has the same answer.
#[test]
fn the_order_is_fixed() {
    let asked =
        Asked { cadence: Some(crate::study::cadences::CadenceKind::Fourth), ..Asked::default() };
    let found = || join(&close(), &close(), &asked, &all);
    let first = found();
    assert!(!first.is_empty());
    assert_eq!(first, found());
    let minims: Vec<Option<u32>> = first.iter().map(|joined| joined.bridge).collect();
    assert!(minims.is_sorted(), "{minims:?}");
}

/// A bridge begins where the first pair has held its goal for a semibreve.
#[test]
fn a_bridge_begins_after_a_semibreve() {
    let lines = close().lines();
    let goal = Goal { dissonance: None, at: 6 * MINIM, rung: 0 };
    let first = First { lines, goals: vec![goal], bridge: None };
    let mut stem = Stem::new(&first, Counted::plain(), Signature::NONE).unwrap();
    let bridges = stem.cadences(4, Resolved::Plainly);
    assert!(!bridges.is_empty());
    for bridge in bridges {
        assert_eq!(bridge.bridge.unwrap().begin, 8 * MINIM);
        assert_eq!(bridge.goals[0].at, 12 * MINIM);
        assert_eq!(bridge.goals[0].dissonance, Some(10 * MINIM));
    }
}

/// A cadence may be ornamented by a semiminim before the leading note, as a study hears it (Jeppesen; from
/// memory).
#[test]
fn a_cadence_is_resolved_with_a_semiminim() {
    use crate::study::suspension::Ornament;

    let goal = Goal { dissonance: None, at: 6 * MINIM, rung: 0 };
    let first = First { lines: close().lines(), goals: vec![goal], bridge: None };
    let mut stem = Stem::new(&first, Counted::plain(), Signature::NONE).unwrap();
    for (resolved, ornament) in [
        (Resolved::Plainly, None),
        (Resolved::Early, Some(Ornament::Anticipated)),
        (Resolved::FromBelow, Some(Ornament::ThirdBelow)),
    ] {
        let mut suspended = 0;
        for bridge in stem.cadences(4, resolved) {
            let lines = bridge.lines.each_ref().map(Vec::as_slice);
            let heard = Heard::new(Counted::plain(), &[(0, lines[0]), (1, lines[1])]);
            let at_goal = heard.suspensions.iter().filter(|one| one.dissonance == 10 * MINIM);
            for one in at_goal {
                suspended += 1;
                assert_eq!(one.ornament, ornament);
            }
            let value = |note: &&Tick| 2 * (note.off - note.on) == MINIM;
            let semiminims = bridge.lines.iter().flatten().filter(value).count();
            assert_eq!(semiminims, usize::from(ornament.is_some()));
        }
        assert!(suspended > 0, "{resolved:?}");
    }
}

/// It is, where it does not fit without.
#[test]
fn an_ornament_lets_a_pair_enter() {
    use crate::study::cadences::CadenceKind;

    let asked = |ornaments| Asked {
        extend: 5,
        cadence: Some(CadenceKind::Second),
        place: Some(Place::MinimBefore),
        above: Some(false),
        ornaments,
        most: 1,
        ..Asked::default()
    };
    let semiminims = |joined: &Joined| {
        let first = joined.voices[..2].iter().flatten();
        first.filter(|note| !note.is_subject && note.length == Time::new(1, 2)).count()
    };
    let needs_one = |pair: &Duo| join(pair, pair, &asked(false), &all).is_empty();
    let with: Vec<usize> = models::pairs(false)
        .iter()
        .filter(|pair| needs_one(pair))
        .flat_map(|pair| join(pair, pair, &asked(true), &all))
        .map(|joined| semiminims(&joined))
        .collect();
    assert!(!with.is_empty() && with.iter().all(|count| *count == 1), "{with:?}");
}
