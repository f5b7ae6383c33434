//! Where a second pair enters: `--extend 4` takes at most 200 ms. It grows with the length of the first pair,
//! and with the minims of a bridge.

use cartella::{Asked, CadenceKind, Document, Pair, join};
use divan::Bencher;

fn main() {
    divan::main();
}

/// The first duo of a fixture.
const CANTUS: &str = "br _ _ sb A4 E5 mn D5. .C5 B4 A4 C5. .B4 A4 B4 C5 sb D5 mn C#5 br D5";
const ALTUS: &str =
    "sb D4 A4 mn G4. .F4 E4 D4 sb F4 mn E4 G4 sb F4 mn D4 C4 sb E4 mn F4 G4 sb F4 E4 br D4";

/// It, so many times.
fn duo(times: usize) -> Pair {
    let [cantus, altus] = [CANTUS, ALTUS].map(|music| format!("{music} ").repeat(times));
    let text = format!("voice Cantus clef C1\n {cantus}\nvoice Altus clef C3\n {altus}\n");
    Document::parse(text).first().pair().unwrap()
}

#[divan::bench(args = [1, 2, 4, 8, 16])]
fn upon_the_end(bencher: Bencher<'_, '_>, times: usize) {
    let (first, second) = (duo(times), duo(1));
    bencher.bench(|| join(divan::black_box(&first), &second, &Asked::default()).len());
}

#[divan::bench(args = [2, 3, 4, 5, 6, 7, 8], sample_count = 10)]
fn with_a_bridge(bencher: Bencher<'_, '_>, extend: usize) {
    let pair = duo(1);
    let asked = Asked { cadence: Some(CadenceKind::Fifth), extend, ..Asked::default() };
    bencher.bench(|| join(divan::black_box(&pair), &pair, &asked).len());
}
