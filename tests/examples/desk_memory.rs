//! What the desk needs of memory while a piece is typed: the process, after every thousand of 5000 edits in
//! five voices of 170 minims. It must not grow. Linux alone says it so.
//!
//! `cargo run --release -p suite --example desk_memory`

use desk::{Desk, View};
use suite::slips::Random;
use suite::typing::{FIVE_VOICES, voices};

const EDITS: usize = 5000;

/// The kilobytes of the process that are in memory.
fn kilobytes() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmRSS:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

fn main() {
    let (count, minims) = FIVE_VOICES;
    let text = voices(count, minims);
    let notes: Vec<usize> = text.match_indices(" 5 ").map(|(place, _)| place + 1).collect();
    let (mut text, mut desk, mut random) = (text, Desk::new(), Random::new(1));
    let mut have = Vec::new();
    for edit in 0..=EDITS {
        let place = notes[random.below(notes.len())];
        text.replace_range(place..=place, ["4", "5", "6"][random.below(3)]);
        let view = View { text: &text, cursor: place as u32, width: 180.0, ..View::default() };
        let shown = desk.show(&view, &have);
        have = shown.systems.into_iter().map(|drawn| drawn.hash).collect();
        if edit % 1000 == 0 {
            match kilobytes() {
                Some(kilobytes) => println!("{edit} edits: {kilobytes} KB"),
                None => println!("{edit} edits"),
            }
        }
    }
}
