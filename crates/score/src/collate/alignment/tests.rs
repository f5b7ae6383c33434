use notation::parse;
use proptest::prelude::*;

use super::super::element::printed;
use super::*;

fn cost(columns: &[Column], left: &[Element<'_>], right: &[Element<'_>]) -> u32 {
    let (mut sum, mut gap) = (0, None);
    for column in columns {
        let side = match column {
            Column::Both(here, there) => {
                sum += left[*here].differs(&right[*there]).unwrap().cost();
                None
            }
            Column::Left(_) => Some(0),
            Column::Right(_) => Some(1),
            Column::Passage(..) => panic!("a passage"),
        };
        if side.is_some() {
            sum += EXTEND + if side == gap { 0 } else { OPEN };
        }
        gap = side;
    }
    sum
}

/// The least cost by the plain table of all prefixes (Gotoh, "An improved algorithm for matching
/// biological sequences", J. Mol. Biol. 162, 1982).
fn least(left: &[Element<'_>], right: &[Element<'_>]) -> u32 {
    const NEVER: u32 = 1_000_000;
    let mut table = vec![vec![[NEVER; 3]; right.len() + 1]; left.len() + 1];
    table[0][0] = [0, NEVER, NEVER];
    for i in 0..=left.len() {
        for j in 0..=right.len() {
            let gap = |before: [u32; 3], side: usize| {
                (0..3).map(|s| before[s] + EXTEND + if s == side { 0 } else { OPEN }).min().unwrap()
            };
            if i > 0
                && j > 0
                && let Some(differs) = left[i - 1].differs(&right[j - 1])
            {
                let before = *table[i - 1][j - 1].iter().min().unwrap();
                table[i][j][0] = before + differs.cost();
            }
            if i > 0 {
                table[i][j][1] = gap(table[i - 1][j], 1);
            }
            if j > 0 {
                table[i][j][2] = gap(table[i][j - 1], 2);
            }
        }
    }
    *table[left.len()][right.len()].iter().min().unwrap()
}

fn music() -> impl Strategy<Value = String> {
    let word = prop_oneof![
        6 => "[CDEFG]4",
        2 => "(sb|mn|sm)",
        1 => "_",
        1 => "(clef C1|sign C|E4\\.)",
    ];
    proptest::collection::vec(word, 0..40).prop_map(|words| words.join(" "))
}

fn in_order(columns: &[Column]) -> (Vec<usize>, Vec<usize>) {
    let (mut left, mut right) = (Vec::new(), Vec::new());
    for column in columns {
        match column {
            Column::Both(here, there) => {
                left.push(*here);
                right.push(*there);
            }
            Column::Left(here) => left.push(*here),
            Column::Right(there) => right.push(*there),
            Column::Passage(here, there) => {
                left.extend(here.clone());
                right.extend(there.clone());
            }
        }
    }
    (left, right)
}

fn both(left: &str, right: &str, check: impl Fn(&[Element<'_>], &[Element<'_>], &[Column])) {
    let piece = |music: &str| parse(&format!("voice A clef C1\n mn {music}\n")).piece;
    let (one, other) = (piece(left), piece(right));
    let (left, right) = (printed(&one.voices[0]), printed(&other.voices[0]));
    check(&left, &right, &align(&left, &right, &mut BUDGET.clone()));
}

proptest! {
    #[test]
    fn no_alignment_costs_less(left in music(), right in music()) {
        both(&left, &right, |left, right, columns| {
            assert_eq!(cost(columns, left, right), least(left, right), "{columns:?}");
        });
    }

    #[test]
    fn every_element_has_its_column(left in music(), right in music()) {
        both(&left, &right, |left, right, columns| {
            let all = ((0..left.len()).collect(), (0..right.len()).collect());
            assert_eq!(in_order(columns), all);
        });
    }
}

fn long(count: usize, seed: u64) -> String {
    let mut state = seed;
    let mut words = Vec::with_capacity(count);
    for _ in 0..count {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let step = ["C", "D", "E", "F", "G"][(state >> 33) as usize % 5];
        words.push(format!("{step}4"));
    }
    words.join(" ")
}

/// A page of 3000 notes left out, and a note changed behind it.
#[test]
fn a_page_left_out() {
    let music = long(6000, 3);
    let words: Vec<&str> = music.split(' ').collect();
    let mut kept = [&words[..1000], &words[4000..]].concat();
    kept[2000] = "B4";
    both(&music, &kept.join(" "), |left, right, columns| {
        let lefts = columns.iter().filter(|column| matches!(column, Column::Left(_))).count();
        assert_eq!(lefts, 3000);
        assert_eq!(cost(columns, left, right), 8 + 3000 + 2);
    });
}

/// Nothing in common: told as passages, in bounded time.
#[test]
fn nothing_in_common() {
    let other = long(3_000, 8).replace(" C4", " sb C5 mn");
    both(&long(3_000, 7), &other, |left, right, columns| {
        assert!(columns.iter().any(|column| matches!(column, Column::Passage(..))));
        let all = ((0..left.len()).collect(), (0..right.len()).collect());
        assert_eq!(in_order(columns), all);
    });
}

/// A long voice an octave too high is still one that is alike, note by note.
#[test]
fn a_wrong_octave_throughout() {
    let music = long(3000, 5);
    both(&music, &music.replace('4', "5"), |left, _, columns| {
        let pairs: Vec<Column> = (0..left.len()).map(|note| Column::Both(note, note)).collect();
        assert_eq!(columns, pairs);
    });
}
