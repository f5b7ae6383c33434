//! How long `study` takes on a piece joined to itself end to end, beside reading and aligning the same:
//! both must grow with its length.

use counterpoint::study::{RuleSet, study};
use divan::Bencher;
use suite::opendata;
use suite::slips::{Group, SlotVoice, report, scored, text_of_slots};

fn main() {
    divan::main();
}

/// A piece of five voices so many times.
fn joined(times: usize) -> Option<String> {
    let pieces = report(&opendata()?);
    let piece = pieces.into_iter().find(|piece| piece.group == Group::Madrigals)?;
    let voices: Vec<SlotVoice> = piece.voices.iter().map(|voice| voice.joined(times)).collect();
    Some(text_of_slots(&voices))
}

#[divan::bench(args = [1, 2, 4, 8, 16, 32], sample_count = 5)]
fn a_piece_joined(bencher: Bencher<'_, '_>, times: usize) {
    if let Some(text) = joined(times) {
        let (piece, score) = scored(&text);
        bencher.bench_local(|| study(divan::black_box(&piece), &score, RuleSet::default()));
    }
}

#[divan::bench(args = [1, 2, 4, 8, 16, 32], sample_count = 5)]
fn read_and_aligned(bencher: Bencher<'_, '_>, times: usize) {
    if let Some(text) = joined(times) {
        bencher.bench_local(|| scored(divan::black_box(&text)));
    }
}
