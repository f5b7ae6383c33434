//! How long it takes to compare two long voices that differ in a few places: it must grow no faster
//! than their length.

use divan::Bencher;
use score::Basis;
use suite::Transcription;
use suite::slips::Random;

fn main() {
    divan::main();
}

/// A voice of so many notes; in the other, one of a thousand is another.
fn voices(count: usize) -> [Transcription; 2] {
    let mut random = Random::new(1);
    let words: Vec<String> =
        (0..count).map(|_| format!("{}4", ["D", "E", "F", "G", "A"][random.below(5)])).collect();
    let mut other = words.clone();
    other.iter_mut().step_by(1000).for_each(|word| "C5".clone_into(word));
    [words, other].map(|words| {
        Transcription::new(&format!("voice Cantus clef C1\n mn {}\n", words.join(" ")))
    })
}

#[divan::bench(args = [50_000, 100_000, 200_000, 400_000], sample_count = 5)]
fn a_voice_and_its_copy(bencher: Bencher<'_, '_>, count: usize) {
    let [one, other] = voices(count);
    bencher.bench_local(|| one.against(divan::black_box(&other), Basis::Printed));
}
