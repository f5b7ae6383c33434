//! How well voices that stand one below another are told apart: the voices of each madrigal put below one
//! another, two to five of them that follow one another; whole, and without the first and last line of each, as
//! they go on in a choir book; and put in systems, as far as the shortest goes:
//! `cargo run --release --example apart`.

use facsimile::Network;
use source::{StaffLine, seeming_voices, told_apart};
use suite::{MADRIGALS, opendata, read_scans};

#[derive(Default)]
struct Sum {
    all: usize,
    right: usize,
    sure: usize,
    /// Sure and wrong.
    misled: usize,
}

fn main() {
    let Some(opendata) = opendata() else { return };
    let network = Network::shipped();
    let (mut whole, mut inner_sum) = (Sum::default(), Sum::default());
    let (mut systems, mut in_turn, mut all_in_turn) = (0, 0, 0);
    let (mut alone, mut seeming_more, mut seeming_right, mut together) = (0, 0, 0, 0);
    for piece in MADRIGALS {
        let parts = read_scans(&opendata, piece, &network);
        let voices: Vec<Vec<StaffLine>> = parts.into_iter().map(|part| part.lines).collect();
        let inner_lines: Vec<Vec<StaffLine>> = voices.iter().map(|lines| inner(lines)).collect();
        for voice in &voices {
            alone += 1;
            seeming_more += usize::from(seeming_voices(voice) > 1);
        }
        for count in 2..=voices.len() {
            for (name, voices, sum) in
                [("whole", &voices, &mut whole), ("inner lines", &inner_lines, &mut inner_sum)]
            {
                for (first, voices) in voices.windows(count).enumerate() {
                    if voices.iter().any(Vec::is_empty) {
                        continue;
                    }
                    if name == "whole" {
                        together += 1;
                        systems += 1;
                        let lines = in_systems(voices);
                        let found = told_apart(lines.clone(), count).expect("lines enough");
                        in_turn += usize::from(found.in_turn);
                        all_in_turn += usize::from(seeming_voices(&lines) == count);
                        seeming_right += usize::from(seeming_voices(&voices.concat()) > 1);
                    }
                    if !sum.take(voices) {
                        println!("{piece} {name}: voices {first} to {}", first + count - 1);
                    }
                }
            }
        }
    }
    println!(
        "seem to be several: {seeming_more} of {alone} voices, {seeming_right} of {together} sets of them"
    );
    println!(
        "in systems: {in_turn} of {systems} told to take turns, {all_in_turn} if nobody says how many voices"
    );
    for (name, Sum { all, right, sure, misled }) in [("whole", whole), ("inner lines", inner_sum)] {
        println!("{name}: {right} of {all} right, {sure} sure, of which {misled} wrong");
    }
}

/// The lines of voices in systems, as far as the shortest goes.
fn in_systems(voices: &[Vec<StaffLine>]) -> Vec<StaffLine> {
    let count = voices.iter().map(Vec::len).min().unwrap_or_default();
    (0..count).flat_map(|system| voices.iter().map(move |lines| lines[system].clone())).collect()
}

/// The lines of a voice without the first and the last.
fn inner(lines: &[StaffLine]) -> Vec<StaffLine> {
    lines.get(1..lines.len().saturating_sub(1)).unwrap_or_default().to_vec()
}

impl Sum {
    /// Whether these voices are told apart.
    fn take(&mut self, voices: &[Vec<StaffLine>]) -> bool {
        let found = told_apart(voices.concat(), voices.len()).expect("lines enough");
        let counts = |voices: &[Vec<StaffLine>]| voices.iter().map(Vec::len).collect::<Vec<_>>();
        let right = counts(&found.voices) == counts(voices);
        self.all += 1;
        self.right += usize::from(right);
        self.sure += usize::from(found.sure);
        self.misled += usize::from(found.sure && !right);
        right
    }
}
