//! Facts of the trade, and small cases.

use rudiments::{Pitch, Signature, Step, Time, Tone};

use super::*;

/// A subject in minims: `D4 E4 F#4`.
fn subject(notes: &str) -> Subject {
    under(Signature::NONE, notes)
}

/// The same under a signature; a note with `:` and a number lasts so many minims.
fn under(signature: Signature, notes: &str) -> Subject {
    let sung = notes.split_whitespace().map(|note| {
        let (note, length) = note.split_once(':').unwrap_or((note, "1"));
        let (above, below) = length.split_once('/').unwrap_or((length, "1"));
        let length = Time::new(above.parse().unwrap(), below.parse().unwrap());
        let step = Step::from_letter(note.chars().next().unwrap()).unwrap();
        let octave = note.chars().last().unwrap().to_digit(10).unwrap() as i8;
        let alteration = match &note[1..note.len() - 1] {
            "#" => 1,
            "b" => -1,
            "n" => 0,
            _ => signature.alteration(step),
        };
        (Pitch::new(Tone::new(step, octave), alteration), length)
    });
    Subject::of_notes(sung, signature).unwrap()
}

fn one(notes: &str, entry: &str) -> Row {
    row(&subject(notes), Entry::parse(entry).unwrap()).unwrap()
}

/// The verdict in a few words.
fn said(notes: &str, entry: &str) -> String {
    let row = one(notes, entry);
    let signs: Vec<String> = row.signs.iter().map(|sign| sign.pitch.to_string()).collect();
    let figures: Vec<String> =
        row.treatments.iter().map(|treatment| treatment.figure.to_string()).collect();
    match (row.verdict, row.fault) {
        (Verdict::Fails, Some(fault)) => format!("{}: {fault}", fault.at),
        (Verdict::Accidental, _) => signs.join(" "),
        (Verdict::Treated, _) => figures.join(" "),
        (verdict, _) => verdict.name().to_owned(),
    }
}

/// Pairs that a player knows (common practice).
#[test]
fn pairs_that_fail_and_one_that_works() {
    assert_eq!(
        said("E4 D4 C4", "4 above after 1"),
        "3: parallel fifths with the note before, C4 against G4"
    );
    assert!(said("D4 A4 E5", "5 above after 1").contains("parallel unisons"));
    assert!(said("D5 A4 E4", "5 above after 1").contains("parallel octaves"));
    assert_eq!(said("D4 E4 D4", "4 above after 1"), "works");
}

/// A rising step works a fourth above after one note, not a fourth below, but there after two (common
/// practice).
#[test]
fn a_rising_subject() {
    assert_eq!(said("C4 D4 E4 F4 G4 A4", "4 above after 1"), "works");
    assert!(said("C4 D4 E4 F4 G4 A4", "4 below after 1").contains("parallel fifths"));
    assert_eq!(said("C4 D4 E4 F4 G4 A4", "4 below after 2"), "works");
    for entry in ["unison after 2", "8 above after 2", "8 below after 2", "5 above after 2"] {
        assert_eq!(said("C4 D4 E4 F4 G4 A4", entry), "works", "{entry}");
    }
    assert_eq!(said("C4 D4 E4 F4 G4 A4", "5 below after 1"), "works");
}

/// Zarlino III, ch. 51 and 52 (from memory): the same syllables in another hexachord.
#[test]
fn what_is_exact() {
    let exact = |notes, entry| {
        let row = one(notes, entry);
        let signs = row.exact.map_or(Vec::new(), |exact| exact.signs);
        let signs: Vec<String> = signs.iter().map(|sign| sign.pitch.to_string()).collect();
        format!("{} {}", row.quality.name(), signs.join(" "))
    };
    assert_eq!(exact("D4 E4 F4 G4", "5 above after 2"), "exact ");
    assert_eq!(exact("D4 E4 F4 G4", "4 below after 2"), "exact ");
    assert_eq!(exact("D4 E4 F4 G4", "4 above after 1"), "steps Bb4");
    assert_eq!(exact("D4 E4 F4 G4", "5 below after 1"), "steps Bb3");
    assert_eq!(exact("G3 A3 B3 C4", "4 above after 1"), "exact ");
    assert_eq!(exact("G3 A3 B3 C4", "5 above after 2"), "steps F#4");
}

#[test]
fn a_false_fifth_asks_for_a_sign() {
    assert_eq!(said("F4 G4 F4", "5 below after 2"), "Bb3");
    let row = one("F4 G4 F4", "5 below after 2");
    assert_eq!(row.fault.unwrap().kind, FaultKind::False(5));
    assert_eq!(row.fault.unwrap().to_string(), "F4 against B3 is a false fifth");
}

/// A falling subject in semibreves, half a note apart, makes chains of suspensions where the voice that
/// is not suspended is on the tactus.
#[test]
fn chains_of_suspensions() {
    let falling = "A4:2 G4:2 F4:2 E4:2 D4:2";
    assert_eq!(
        said(falling, "6 above after 1"),
        "suspension 7-6 suspension 7-6 suspension 7-6 suspension 7-6"
    );
    let late = under(Signature::NONE, "B4:1 A4:2 G4:2 F4:2 E4:2 D4:2");
    let off = row(&late, Entry::parse("6 above after 1").unwrap()).unwrap();
    assert_eq!(off.verdict, Verdict::Fails);
}

#[test]
fn a_passing_note_on_a_weak_place() {
    assert_eq!(said("D4:4 A4:1 G4:1 F4:2", "unison after 4"), "passing note");
}

#[test]
fn crossing_and_one_key_are_remarked() {
    assert!(!one("C4 D4 E4 F4", "unison after 2").has(RemarkKind::Crossing));
    assert!(one("D4 A4 F4", "4 above after 1").has(RemarkKind::Crossing));
    assert!(one("D4 D4 F4", "unison after 1").has(RemarkKind::Unison));
    assert!(one("A4 C4 D4", "unison after 2").has(RemarkKind::Sixth));
}

/// Inversion about D keeps every tone and semitone, so what works in two voices works in the mirror.
#[test]
fn the_mirror_of_a_subject() {
    let mirrored = subject("D4 E4 F4 G4 A4").mirrored();
    let notes: Vec<String> = mirrored.notes().iter().map(|note| note.pitch.to_string()).collect();
    assert_eq!(notes, ["D4", "C4", "B3", "A3", "G3"]);
    let flat = Signature::parse("Bb").unwrap();
    let mirrored = under(flat, "G4 A4 Bb4 C5").mirrored();
    let notes: Vec<String> = mirrored.notes().iter().map(|note| note.pitch.to_string()).collect();
    assert_eq!(notes, ["G4", "F4", "E4", "D4"]);
}

#[test]
fn the_table_has_every_interval_and_delay_once() {
    let rows = table(&subject("D4 E4 F4 G4"), Intervals::Octave);
    // Delays of a semiminim to three minims and a half.
    assert_eq!(rows.len(), 15 * 7);
    assert!(rows.is_sorted_by_key(|row| row.verdict));
    assert_eq!(table(&subject("D4 E4 F4 G4"), Intervals::Ninth).len(), 17 * 7);
}

#[test]
fn three_and_four_voices() {
    let found = several(&subject("C4 D4 E4 F4 G4 A4"), 3, 10);
    assert!(!found.is_empty());
    assert!(found.iter().all(|found| found.entries.len() == 2));
    let found = several(&subject("D4:2 A4:2 G4 F4 E4 D4"), 4, 10);
    assert!(found.iter().all(|found| found.entries.len() == 3));
}

#[test]
fn the_leader_goes_on() {
    let rising = subject("D4 E4 F4 G4 A4");
    let entry = Entry::parse("5 above after 2").unwrap();
    let parts = write_out(&rising, &[entry], &[], Ending::Open).unwrap();
    let ends: Vec<Time> =
        parts.iter().map(|part| part.notes.last().map(|n| n.at + n.length).unwrap()).collect();
    assert_eq!(ends, [Time::minims(7); 2]);
    let parts = write_out(&rising, &[entry], &[], Ending::Cadence).unwrap();
    let shown: Vec<String> = parts
        .iter()
        .map(|part| part.notes.iter().map(|n| format!("{}:{} ", n.pitch, n.length)).collect())
        .collect();
    insta::assert_snapshot!(shown.join("\n"));
}
