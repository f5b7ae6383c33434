//! How long rendering takes.

use std::hint::black_box;
use std::time::Instant;

use sound::{Instrument, Rendering, Stop, render};

use crate::music::performance;

/// Five voices in minims, so many seconds long.
fn five_voices(seconds: usize) -> String {
    let voice = |number: usize| {
        let steps = ["C", "D", "E", "F", "G", "A", "B"];
        let notes: Vec<String> = (0..seconds)
            .map(|at| {
                let step = steps[(at * (number + 2) + number) % 7];
                let octave = 5 - number / 2;
                format!("mn {step}{octave}")
            })
            .collect();
        format!("voice V{number} clef C1\n {}\n", notes.join(" "))
    };
    (0..5).map(voice).collect()
}

/// How long something takes, in seconds; the least of three times, since machines do other things too.
fn taken(what: impl Fn()) -> f64 {
    let once = |_| {
        let begun = Instant::now();
        what();
        begun.elapsed().as_secs_f64()
    };
    (0..3).map(once).fold(f64::INFINITY, f64::min)
}

/// A minute of five voices takes less than eight times as long as one sine for each sample of each voice.
/// (On a core on which these take a tenth of a second that is 0.7 s. The organ, which takes longest, took 0.23 s
/// of processor time there.)
#[test]
fn a_minute_is_rendered_in_a_second() {
    let performance = performance(&five_voices(60));
    let sines = taken(|| {
        let sum: f64 = (0..13_230_000_u32).map(|place| (f64::from(place) * 0.01).sin()).sum();
        black_box(sum);
    });
    for instrument in
        [Instrument::Organ(Stop::ALL.to_vec()), Instrument::Plucked, Instrument::Plain]
    {
        let rendering = Rendering { instrument: instrument.clone(), ..Rendering::default() };
        let taken = taken(|| {
            let mut samples = render(&performance, &rendering).unwrap();
            while let Some(block) = samples.next_block() {
                black_box(block);
            }
        });
        println!("{instrument:?}: {taken:.2} s, {:.2} of {sines:.2} s", taken / sines);
        assert!(taken < 8.0 * sines, "{instrument:?}: {taken} s, sines {sines} s");
    }
}
