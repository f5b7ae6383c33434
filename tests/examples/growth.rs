//! How the time of each step grows with the length of a piece of each kind:
//!
//! `cargo run --release --example growth -- EVENTS [KIND]`
//!
//! prints the steps that take four times as long for twice as much, and with a kind all steps.

use suite::growth::{KINDS, steps};

fn main() {
    let given: Vec<String> = std::env::args().skip(1).collect();
    let events = given.first().and_then(|given| given.parse().ok()).unwrap_or(10_000);
    let wanted = given.get(1);
    for (name, text) in KINDS {
        if wanted.is_some_and(|wanted| wanted != name) {
            continue;
        }
        let sizes = [1, 2, 4].map(|times| steps(&text(events * times)));
        for (number, (step, one)) in sizes[0].iter().enumerate() {
            let [_, two, four] = [0, 1, 2].map(|size: usize| sizes[size][number].1.as_secs_f64());
            let growth = four / two.max(1e-9);
            if wanted.is_some() || (growth > 2.7 && four > 0.02) || four > 2.0 {
                let one = one.as_secs_f64();
                println!("{name:30} {step:20} {one:9.4} {two:9.4} {four:9.4} {growth:6.1}");
            }
        }
    }
}
