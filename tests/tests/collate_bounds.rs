//! Long voices, alike and not: collation takes seconds, and says what it could not compare.

use std::time::{Duration, Instant};

use score::{Basis, Difference};
use suite::Transcription;
use suite::slips::Random;

/// As long as a voice may be.
const LONG: usize = 400_000;

fn transcription(words: &[String]) -> Transcription {
    Transcription::new(&format!("voice Cantus clef C1\n mn {}\n", words.join(" ")))
}

fn notes(count: usize, seed: u64) -> Vec<String> {
    let mut random = Random::new(seed);
    (0..count).map(|_| format!("{}4", ["D", "E", "F", "G", "A"][random.below(5)])).collect()
}

/// What differs; it takes far less than a minute, even unoptimized on a busy machine, and what grows
/// with the square of the length would take hours.
fn within_a_minute(left: &[String], right: &[String]) -> Vec<Difference> {
    let (one, other) = (transcription(left), transcription(right));
    let begin = Instant::now();
    let found = one.against(&other, Basis::Printed);
    assert!(begin.elapsed() < Duration::from_mins(1), "{:?}", begin.elapsed());
    found
}

#[test]
fn four_hundred_thousand_notes_with_two_hundred_slips() {
    let words = notes(LONG, 1);
    let mut other = words.clone();
    for slip in (0..200).rev() {
        let place = 1000 + slip * 1990;
        match slip % 3 {
            0 => other[place] = "C5".to_owned(),
            1 => drop(other.remove(place)),
            _ => other.insert(place, "C5".to_owned()),
        }
    }
    assert_eq!(within_a_minute(&words, &other).len(), 200);
}

/// Forty thousand notes left out at once.
#[test]
fn a_tenth_left_out() {
    let words = notes(LONG, 2);
    let other = [&words[..100_000], &words[140_000..]].concat();
    let found = within_a_minute(&words, &other);
    assert_eq!((found.len(), found[0].count), (1, 40_000));
}

#[test]
fn voices_that_have_nothing_in_common() {
    let other: Vec<String> =
        notes(LONG, 4).iter().map(|note| note.replace('D', "sb D").replace('E', "mn E")).collect();
    let found = within_a_minute(&notes(LONG, 3), &other);
    assert!(found.iter().any(|one| one.left_text.contains("too little in common")));
}

#[test]
fn the_same_note_throughout() {
    let same = vec!["D4".to_owned(); LONG];
    let found = within_a_minute(&same, &same[..LONG - 1]);
    assert_eq!((found.len(), found[0].count), (1, 1));
    let other = vec!["E4".to_owned(); LONG];
    let found = within_a_minute(&same, &other);
    assert_eq!((found.len(), found[0].count), (1, LONG));
}
