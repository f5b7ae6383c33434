//! Strips for the training of the reader, in the form of [`pack`]:
//!
//! `cargo run --release --example strips -- truth OUT`: those of the open data;
//! `cargo run --release --example strips -- drawn SEED COUNT OUT`: so many drawn ones.

mod case;
mod music;
mod pack;
mod sheet;
mod truth;
mod words;

use std::fs::File;
use std::io::{self, BufWriter};

fn main() -> io::Result<()> {
    let given: Vec<String> = std::env::args().skip(1).collect();
    match given.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["truth", out] => {
            let Some(opendata) = suite::opendata() else { return Ok(()) };
            let mut file = BufWriter::new(File::create(out)?);
            for strip in truth::strips_of_the_madrigals(&opendata) {
                pack::write(&mut file, (strip.piece, strip.voice), &strip.picture, &strip.sorts)?;
            }
            Ok(())
        }
        ["drawn", seed, count, out] => {
            let number = |text: &str| text.parse::<u64>().map_err(io::Error::other);
            let (mut dice, signs) = (suite::Dice::new(number(seed)?), engrave::Signs::read());
            let words = words::Words::thrown(&mut dice);
            let mut file = BufWriter::new(File::create(out)?);
            for _ in 0..number(count)? {
                let strip = sheet::strip(&mut dice, &signs, &words);
                pack::write(&mut file, (255, 0), &strip.picture, &strip.sorts)?;
            }
            Ok(())
        }
        _ => Err(io::Error::other("strips truth OUT | strips drawn SEED COUNT OUT")),
    }
}
