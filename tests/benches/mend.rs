//! How long `mend` takes on a piece joined to itself end to end: it must grow no faster than
//! `n log n`.

use counterpoint::mend::mend;
use divan::Bencher;
use suite::opendata;
use suite::slips::{Group, Kind, Random, SlotVoice, plant, report, scored, text_of_slots};

fn main() {
    divan::main();
}

/// A piece of five voices so many times, with a slip.
fn joined(times: usize) -> Option<String> {
    let pieces = report(&opendata()?);
    let piece = pieces.into_iter().find(|piece| piece.group == Group::Madrigals)?;
    let voices: Vec<SlotVoice> = piece.voices.iter().map(|voice| voice.joined(times)).collect();
    let slip = plant(&voices, 2, Kind::Halved, &mut Random::new(7))?;
    Some(text_of_slots(&slip.voices))
}

#[divan::bench(args = [1, 2, 4, 8, 16, 32], sample_count = 5)]
fn a_slip_in_a_piece_joined(bencher: Bencher<'_, '_>, times: usize) {
    if let Some(text) = joined(times) {
        let (piece, score) = scored(&text);
        bencher.bench_local(|| mend(divan::black_box(&text), &piece, &score));
    }
}
