//! How well planted entries are found, and which are missed:
//!
//! `cargo run --release --example planted -- SEED…`
//!
//! Each seed makes 200 trials with a rest before each entry, and 200 without.

use counterpoint::study::imitation::Entry;
use rudiments::Time;
use suite::imitating::imitated;
use suite::melodies::real_melodies;
use suite::opendata;
use suite::planting::{MINIM, planted, tally};
use suite::slips::Random;

fn main() {
    let Some(opendata) = opendata() else { return };
    let material = real_melodies(&opendata);
    for seed in std::env::args().skip(1).filter_map(|seed| seed.parse::<u64>().ok()) {
        for (name, rest) in [("after a rest", MINIM * 2), ("without", Time::ZERO)] {
            let tally = tally(&material, &[seed], rest);
            let percent = |part: usize, of: usize| 100.0 * part as f64 / of.max(1) as f64;
            println!(
                "{seed}, {name}: {:.1} % found, {:.1} % false",
                percent(tally.found, tally.planted),
                percent(tally.falsely, tally.found + tally.falsely),
            );
            missed(&material, seed, rest);
        }
    }
}

/// Where nothing is found, and where the entry begins a little elsewhere.
fn missed(material: &[(String, Vec<Vec<suite::melodies::Sung>>)], seed: u64, rest: Time) {
    let mut random = Random::new(seed);
    let (mut none, mut elsewhere, mut alone) = (0, 0, 0);
    for trial in (0..200).filter_map(|_| planted(material, &mut random, rest)) {
        let (score, found) = imitated(&trial.text);
        let mut of_trial = 0;
        for subject in &found.subjects {
            let is_planted = |number: &usize| {
                let entry = &found.entries[*number];
                let is_it = |(voice, at, _): &(usize, Time, _)| {
                    entry.first.voice == *voice && entry.onset == *at
                };
                trial.entries.iter().any(is_it)
            };
            let right = subject.entries.iter().filter(|number| is_planted(number)).count();
            for number in subject.entries.iter().filter(|number| !is_planted(number)) {
                let entry = &found.entries[*number];
                let over = trial.entries.iter().any(|(voice, at, _)| {
                    entry.first.voice == *voice && entry.onset < *at + MINIM * 8 && entry.end > *at
                });
                println!(
                    "  false: {} {} {:?}, {} notes, with {right} planted ones{}",
                    score.voices[entry.first.voice].name,
                    entry.onset,
                    entry.form,
                    entry.notes,
                    if over { ", over a planted one" } else { "" }
                );
            }
        }
        for (voice, at, form) in &trial.entries {
            let own = |entry: &&Entry| entry.first.voice == *voice;
            if found.entries.iter().any(|entry| own(&entry) && entry.onset == *at) {
                continue;
            }
            of_trial += 1;
            let over = found
                .entries
                .iter()
                .filter(own)
                .find(|entry| entry.onset < *at + MINIM * 8 && entry.end > *at);
            match over {
                Some(entry) => {
                    elsewhere += 1;
                    println!(
                        "  {} {at} {form:?}: begins at {} {:?}, {} notes of {}",
                        score.voices[*voice].name,
                        entry.onset,
                        entry.form,
                        entry.notes,
                        trial.notes
                    );
                }
                None => {
                    none += 1;
                    println!("  {} {at} {form:?}: nothing", score.voices[*voice].name);
                }
            }
        }
        if of_trial == trial.entries.len() {
            alone += 1;
        }
    }
    println!("  {none} not found, {elsewhere} begin elsewhere; nothing at all in {alone} trials");
}
