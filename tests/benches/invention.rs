//! What a subject can do: all intervals and delays for a subject of twelve notes take at most 5 ms, four
//! voices at most 100 ms. The table grows with the square of the number of notes: twice as many notes have
//! twice as many delays.

use cartella::invention::{Intervals, Subject, several, table};
use cartella::subject;
use divan::Bencher;

fn main() {
    divan::main();
}

/// A line by step and leap, so many notes of it.
fn of_notes(count: usize) -> Subject {
    let notes = ["D4", "A4", "G4", "F4", "E4", "D4", "F4", "E4", "G4", "A4", "C5", "B4"];
    let line: Vec<&str> = notes.into_iter().cycle().take(count).collect();
    subject(&format!("mn {}", line.join(" "))).unwrap()
}

#[divan::bench(args = [3, 6, 12, 24, 48])]
fn all_intervals_and_delays(bencher: Bencher<'_, '_>, notes: usize) {
    let subject = of_notes(notes);
    bencher.bench(|| table(divan::black_box(&subject), Intervals::Ninth).len());
}

#[divan::bench(args = [3, 6, 12, 24])]
fn three_voices(bencher: Bencher<'_, '_>, notes: usize) {
    let subject = of_notes(notes);
    bencher.bench(|| several(divan::black_box(&subject), 3, 60).len());
}

#[divan::bench(args = [3, 6, 12, 24])]
fn four_voices(bencher: Bencher<'_, '_>, notes: usize) {
    let subject = of_notes(notes);
    bencher.bench(|| several(divan::black_box(&subject), 4, 60).len());
}

/// Repeated notes, all of which fit one another: the most that can be found.
#[divan::bench(args = [6, 12, 24])]
fn four_voices_where_nearly_all_fits(bencher: Bencher<'_, '_>, notes: usize) {
    let subject = subject(&format!("mn {}", "D4 ".repeat(notes))).unwrap();
    bencher.bench(|| several(divan::black_box(&subject), 4, 60).len());
}
