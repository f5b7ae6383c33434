//! How long rendering takes, and how much is kept.

use std::time::Instant;

use sound::{Instrument, Rendering, Stop, render};

use crate::music::performance;

/// Five voices in minims and semiminims, so many seconds long.
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

/// Three minutes of five voices are rendered in 3 s on one core when it is optimized as a release is; here
/// three times that, for machines that do other things.
#[test]
fn three_minutes_are_rendered_in_seconds() {
    let performance = performance(&five_voices(180));
    for instrument in
        [Instrument::Organ(Stop::ALL.to_vec()), Instrument::Plucked, Instrument::Plain]
    {
        let rendering = Rendering { instrument: instrument.clone(), ..Rendering::default() };
        let begun = Instant::now();
        let mut samples = render(&performance, &rendering).unwrap();
        while samples.next_block().is_some() {}
        let taken = begun.elapsed().as_secs_f64();
        println!("{instrument:?}: {taken:.2} s");
        assert!(taken < 9.0, "{instrument:?}: {taken}");
    }
}
