//! How well `mend` finds slips that were planted into clean pieces, on the pieces that it was not
//! tuned on, and on those that it was:
//!
//! `cargo run --release --example slips`
//!
//! `--report` and `--development` print one of the two; `--sample` plants a tenth.

use suite::opendata;
use suite::slips::{Amount, Group, Material, development, measure, report};

fn main() {
    let Some(opendata) = opendata() else { return };
    let given: Vec<String> = std::env::args().skip(1).collect();
    let asked = |name: &str| given.iter().any(|argument| argument == name);
    if !asked("--development") {
        println!("# Pieces that were not tuned on\n");
        print(&report(&opendata), asked("--sample"));
    }
    if !asked("--report") {
        println!("# Pieces that were tuned on\n");
        print(&development(&opendata), asked("--sample"));
    }
}

fn print(pieces: &[Material], sample: bool) {
    for group in [Group::Madrigals, Group::Duos] {
        let amount = if sample { Amount::sample(group) } else { Amount::full(group) };
        println!("{}", measure(pieces, group, amount));
    }
}
