//! The rule of close imitation, the stepwise table and the mirror, derived by brute force over interval
//! arithmetic and compared with the program.

use cartella::invention::{
    Entry, Intervals, Row, Subject, Verdict, moves, patterns, row, stepwise, table,
};
use cartella::{Pitch, Signature, Step, Time, Tone};
use suite::brute::{Found, Plain, Wrong, wrong};

/// Semitones of a place above C, white keys (common practice).
fn white(steps: i32) -> i32 {
    [0, 2, 4, 5, 7, 9, 11][steps.rem_euclid(7) as usize] + 12 * steps.div_euclid(7)
}

/// Notes of two units each on white keys, some steps higher, so many units later.
fn voice(melody: &[i32], steps: i32, later: i64) -> Vec<Plain> {
    let notes = (0..).zip(melody);
    notes
        .map(|(place, height): (i64, &i32)| Plain {
            on: 2 * place + later,
            off: 2 * place + later + 2,
            steps: height + steps,
            semitones: white(height + steps),
        })
        .collect()
}

/// What is wrong between a melody of minims and a follower; the delay is in half minims.
fn brute(melody: &[i32], steps: i32, delay: i64) -> Vec<Found> {
    wrong(&voice(melody, 0, 0), &voice(melody, steps, delay))
}

/// The same melody as a subject; 0 is middle C.
fn subject(melody: &[i32]) -> Subject {
    let notes = melody
        .iter()
        .map(|height| (Pitch::new(Tone::new(Step::C, 4).up(*height), 0), Time::minims(1)));
    Subject::of_notes(notes, Signature::NONE).unwrap()
}

/// All melodies of two to so many notes from D, in moves of a second to a fifth.
fn melodies(most: usize) -> Vec<Vec<i32>> {
    let mut all = vec![vec![1]];
    let mut longest = all.clone();
    for _ in 1..most {
        longest = longest
            .iter()
            .flat_map(|melody| {
                let last = melody[melody.len() - 1];
                (-4..=4).filter(|moved| *moved != 0).map(move |moved| {
                    let mut longer = melody.clone();
                    longer.push(last + moved);
                    longer
                })
            })
            .collect();
        all.extend(longest.clone());
    }
    all.remove(0);
    all
}

/// A suspension among notes of two units, the follower an odd number of units later: it is held while
/// the leader strikes a dissonance, was consonant before, and goes a step down to a third or sixth with
/// the leader, who stays (Fux, *Gradus*, fourth species; from memory).
fn suspends(melody: &[i32], steps: i32, delay: i64, place: [usize; 2], at: i64) -> bool {
    let [leading, following] = place;
    let held = melody[following] + steps;
    let consonant = |one: i32, other: i32| matches!((one - other).abs() % 7, 0 | 2 | 4 | 5);
    let begun = 2 * following as i64 + delay;
    delay % 2 == 1
        && begun == at - 1
        && leading > 0
        && consonant(melody[leading - 1], held)
        && melody.get(following + 1).is_some_and(|next| {
            next - melody[following] == -1
                && matches!((next + steps - melody[leading]).abs() % 7, 2 | 5)
        })
}

/// A passing note or a cambiata of the leader, on a weak minim over a held note (Fux, *Gradus*, third
/// species; Jeppesen; from memory).
fn passes(melody: &[i32], delay: i64, leading: usize, at: i64) -> bool {
    let moved = |place: usize| melody.get(place..place + 2).map(|pair| pair[1] - pair[0]);
    let weak = leading % 2 == 1 && at == 2 * leading as i64 && delay % 2 == 1;
    if !weak {
        return false;
    }
    let moves = [moved(leading - 1), moved(leading), moved(leading + 1)];
    matches!(moves, [Some(1), Some(1), _] | [Some(-1), Some(-1), _] | [Some(-1), Some(-2), Some(1)])
}

/// What the program may say of a melody, by brute force.
fn expected(melody: &[i32], steps: i32, delay: i64) -> &'static [Verdict] {
    let found = brute(melody, steps, delay);
    let is = |kind: Wrong| found.iter().any(|(wrong, _, _)| *wrong == kind);
    let treated = found.iter().all(|(wrong, at, place)| {
        *wrong != Wrong::Discord
            || suspends(melody, steps, delay, *place, *at)
            || passes(melody, delay, place[0], *at)
    });
    if found.is_empty() {
        &[Verdict::Works]
    } else if is(Wrong::Parallel) || !treated {
        &[Verdict::Fails]
    } else if is(Wrong::False) {
        // Doubtful: a false fifth fails, or a sign mends it; it never works.
        &[Verdict::Accidental, Verdict::Fails]
    } else {
        &[Verdict::Treated]
    }
}

#[test]
fn all_subjects_of_up_to_five_notes() {
    let (mut compared, mut doubtful) = (0, 0);
    for melody in melodies(5) {
        for found in table(&subject(&melody), Intervals::Ninth) {
            let Entry { steps, delay } = found.entry;
            let delay = (delay + delay).numerator();
            let expected = expected(&melody, steps, delay);
            assert!(expected.contains(&found.verdict), "{melody:?} {found:#?} {expected:?}");
            compared += 1;
            doubtful += usize::from(expected.len() > 1);
            if let Some(fault) = found.fault {
                let named = [fault.at as usize - 1, fault.against as usize - 1];
                let there = brute(&melody, steps, delay);
                assert!(there.iter().any(|(_, _, place)| *place == named), "{melody:?} {found:#?}");
            }
        }
    }
    // Every interval to the ninth; delays of a semiminim to half a minim less than the whole.
    let subjects = |notes: u32| 8_usize.pow(notes - 1) * (2 * notes as usize - 1) * 17;
    assert_eq!(compared, (2..=5).map(subjects).sum::<usize>());
    println!("{compared} compared, {doubtful} doubtful");
    insta::assert_snapshot!(format!("{compared} compared, {doubtful} doubtful: false fifths"));
}

/// The rule of moves, from two and three notes: what a move makes, and whether it may come twice.
#[test]
fn the_moves_of_every_interval() {
    for steps in -8..=8_i32 {
        let told: Vec<(i32, bool)> =
            moves(steps).iter().map(|one| (one.steps, one.may_repeat)).collect();
        let mut derived = Vec::new();
        for moved in [-7, -5, -4, -3, -2, -1, 0, 1, 2, 3, 4, 5, 7] {
            // In steps alone: as if every interval of the staff were pure.
            let apart = (moved - steps).abs() % 7;
            if ![0, 2, 4, 5].contains(&apart) {
                continue;
            }
            let runs = moved != 0 && [0, 4].contains(&apart);
            derived.push((moved, !runs));
        }
        assert_eq!(told, derived, "{steps}");
    }
}

/// Common practice, no source: what every improviser knows of the fifth after one note.
#[test]
fn the_fifth_after_one_note() {
    let plain = |steps: i32| -> Vec<i32> {
        let moves = moves(steps);
        let plain = moves.iter().map(|one| one.steps);
        plain.filter(|moved| (1..=4).contains(&moved.abs())).collect()
    };
    assert_eq!(plain(4), [-3, -1, 2, 4]);
    assert_eq!(plain(-4), [-4, -2, 1, 3]);
}

/// The stepwise table, from the brute force; and the facts that players know (common practice).
#[test]
fn stepwise_subjects() {
    for pattern in patterns() {
        let notes = pattern.subject.notes().len() as i32;
        let melody: Vec<i32> =
            (0..notes).map(|place| 1 + if pattern.rising { place } else { -place }).collect();
        let told = |verdict: Verdict| -> Vec<(i32, i64)> {
            let rows = pattern.rows.iter().filter(|row| row.verdict == verdict);
            rows.map(|row| (row.entry.steps, row.entry.delay.numerator())).collect()
        };
        let entries = (-7..=7).flat_map(|steps| (1..i64::from(notes)).map(move |d| (steps, d)));
        let works = entries.filter(|(steps, delay)| brute(&melody, *steps, 2 * delay).is_empty());
        assert_eq!(told(Verdict::Works), works.collect::<Vec<_>>());
    }
    let works = |rising: bool, notes: usize, steps: i32, delay: i64| {
        let entry = Entry { steps, delay: Time::minims(delay) };
        row(&stepwise(notes, rising).unwrap(), entry).unwrap().verdict == Verdict::Works
    };
    for (rising, up) in [(true, 1), (false, -1)] {
        assert!(works(rising, 6, 3 * up, 1), "a fourth, the way it goes, after one");
        assert!(!works(rising, 6, -3 * up, 1) && works(rising, 6, -3 * up, 2));
        assert!(works(rising, 6, 4 * up, 2) && works(rising, 6, -4 * up, 1));
        assert!(works(rising, 6, 0, 2) && works(rising, 6, 7, 2) && works(rising, 6, -7, 2));
    }
}

/// Inversion about D keeps tones and semitones: what works in two voices works in the mirror.
#[test]
fn the_mirror() {
    let verdict = |row: Option<Row>| row.map(|row| row.verdict == Verdict::Works);
    for melody in melodies(4) {
        let (straight, delays) = (subject(&melody), 1..melody.len() as i64);
        let mirrored = straight.mirrored();
        for (steps, delay) in (-8..=8).flat_map(|steps| delays.clone().map(move |d| (steps, d))) {
            let delay = Time::minims(delay);
            let [here, there] = [(&straight, steps), (&mirrored, -steps)]
                .map(|(subject, steps)| verdict(row(subject, Entry { steps, delay })));
            assert_eq!(here, there, "{melody:?} {steps} {delay}");
        }
    }
}
