//! No step of the way takes more than about twice as long for twice as much: on pieces of many
//! kinds, each step is timed on a short piece and on one four times as long. What grows with the
//! square takes sixteen times as long there.

use std::time::Duration;

use suite::growth::{KINDS, steps};

/// Notes and rests of the short piece.
const SHORT: usize = if cfg!(debug_assertions) { 2000 } else { 12_000 };

/// Unoptimized, all kinds take many minutes: these are looked at, on each of which some step has
/// grown with the square. `cargo test --release -p suite --test growth` looks at all.
const UNOPTIMIZED: [&str; 4] =
    ["repeats in one voice", "the same note", "signs", "a wrong clef, bare letters"];

/// Four times as much may take so many times as long; between four and sixteen, beyond what a busy
/// machine does to a time.
const MOST: f64 = 9.0;

/// A long piece that takes no longer than this says nothing.
const LEAST: Duration = Duration::from_millis(150);

/// The steps that grow too much, by the best of several tries.
fn growing(text: fn(usize) -> String) -> Vec<String> {
    let mut growing: Vec<&str> = Vec::new();
    let mut told = Vec::new();
    for try_number in 0..3 {
        let (short, long) = (steps(&text(SHORT)), steps(&text(SHORT * 4)));
        let mut now = Vec::new();
        told.clear();
        for ((step, short), (_, long)) in short.iter().zip(&long) {
            let growth = long.as_secs_f64() / short.as_secs_f64().max(0.01);
            let again = try_number == 0 || growing.contains(step);
            if again && *long > LEAST && growth > MOST {
                now.push(*step);
                told.push(format!("{step}: {short:?}, then {long:?}"));
            }
        }
        growing = now;
        if growing.is_empty() {
            break;
        }
    }
    told
}

#[test]
fn no_step_grows_with_the_square() {
    let looked_at = |name: &str| !cfg!(debug_assertions) || UNOPTIMIZED.contains(&name);
    for (name, text) in KINDS.into_iter().filter(|(name, _)| looked_at(name)) {
        assert_eq!(growing(text), [] as [String; 0], "{name}");
    }
}
