//! How what is read wrong on the scans of the madrigals falls with the lines that are known:
//! `cargo run --release --example learning -- 120 5 10 20 40`, where the first number is that of the steps.
//! Lines are chosen at random, each time anew, and what is read on all others is counted.

use std::collections::BTreeSet;
use std::time::Instant;

use facsimile::image::GrayImage;
use facsimile::{Known, Network, learn};
use suite::{Dice, LaidOut, Threads, laid_out, opendata, read_wrong};

fn main() {
    let Some(opendata) = opendata() else { return };
    let numbers: Vec<usize> = std::env::args().filter_map(|word| word.parse().ok()).collect();
    let [steps, counts @ ..] = numbers.as_slice() else {
        eprintln!("learning STEPS COUNT…");
        return;
    };
    let staves = laid_out(&opendata, &|_, _| true);
    let lines: Vec<&LaidOut> = staves.iter().filter(|staff| !staff.sorts.is_empty()).collect();
    let shipped = Network::shipped();
    let say = |what: &str, (all, wrong): (usize, usize)| {
        println!("{what}: {wrong} of {all}, {:.2} %", 100.0 * wrong as f64 / all.max(1) as f64);
    };
    say("as shipped", read_wrong(&lines, &shipped));
    let mut dice = Dice::new(1);
    for count in counts {
        let mut chosen = BTreeSet::new();
        while chosen.len() < (*count).min(lines.len()) {
            chosen.insert(dice.between(0.0, lines.len() as f64) as usize);
        }
        let numbered = lines.iter().enumerate();
        let (known, others): (Vec<_>, Vec<_>) =
            numbered.partition(|(number, _)| chosen.contains(number));
        let others: Vec<&LaidOut> = others.into_iter().map(|(_, line)| *line).collect();
        let known: Vec<Known> = known
            .into_iter()
            .map(|(_, line)| Known { laid: line.picture.clone(), rows: vec![line.sorts.clone()] })
            .collect();
        let unknown: Vec<GrayImage> = others.iter().map(|line| line.picture.clone()).collect();
        let begun = Instant::now();
        let learned = learn(&shipped, &known, &unknown, *steps, &mut Threads);
        let took = begun.elapsed();
        say(
            &format!("{count} lines ({} steps in {took:.0?})", learned.steps.0),
            read_wrong(&others, &learned.network),
        );
    }
}
