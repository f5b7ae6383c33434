//! How well `mend` finds slips that were planted into clean pieces, on the pieces that it was not
//! tuned on, and on those that it was:
//!
//! `cargo run --release --example slips`
//!
//! `--report` and `--development` print one of the two; `--sample` plants a tenth.

use suite::opendata;
use suite::slips::{Amount, Group, Material, development, in_threes, measure, report};

fn main() {
    let Some(opendata) = opendata() else { return };
    let given: Vec<String> = std::env::args().skip(1).collect();
    let asked = |name: &str| given.iter().any(|argument| argument == name);
    if !asked("--development") {
        println!("# Pieces that were not tuned on\n");
        let groups = [Group::Madrigals, Group::Duos];
        print(&report(&opendata), &groups, asked("--sample"));
        print(&in_threes(&opendata), &[Group::Threes], asked("--sample"));
    }
    if !asked("--report") {
        println!("# Pieces that were tuned on\n");
        let groups = [Group::Madrigals, Group::Duos];
        print(&development(&opendata), &groups, asked("--sample"));
    }
}

fn print(pieces: &[Material], groups: &[Group], sample: bool) {
    for group in groups.iter().copied() {
        let amount = if sample { Amount::sample(group) } else { Amount::full(group) };
        println!("{}", measure(pieces, group, amount));
    }
}
