//! Strips for the training of the reader, in the form of [`pack`]:
//!
//! `cargo run --release --example strips -- truth OUT`: those of the open data, with what is printed on them;
//! `cargo run --release --example strips -- encoded OUT`: the same with what their encodings have;
//! `cargo run --release --example strips -- drawn SEED COUNT OUT`: so many drawn ones;
//! `cargo run --release --example strips -- compared OUTPUTS`: how far what the program's network puts out
//! for the strips of the open data is from what the training's does (`training/outputs.py`), and how long it
//! takes.

mod case;
mod music;
mod pack;
mod sheet;
mod words;

use std::fs::File;
use std::io::{self, BufWriter};

fn main() -> io::Result<()> {
    let given: Vec<String> = std::env::args().skip(1).collect();
    match given.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        [truth @ ("truth" | "encoded"), out] => {
            let Some(opendata) = suite::opendata() else { return Ok(()) };
            let encoded = suite::MADRIGALS
                .iter()
                .flat_map(|madrigal| suite::encoded_lines(&opendata, madrigal))
                .flatten();
            let mut encoded = if *truth == "encoded" { Some(encoded) } else { None };
            let mut file = BufWriter::new(File::create(out)?);
            for strip in suite::laid_out(&opendata, &|_, _| true) {
                let encoded = encoded.as_mut().filter(|_| !strip.sorts.is_empty());
                let sorts = encoded.and_then(Iterator::next).unwrap_or(strip.sorts);
                pack::write(&mut file, (strip.piece, strip.voice), &strip.picture, &sorts)?;
            }
            Ok(())
        }
        ["drawn", seed, count, out] => {
            let number = |text: &str| text.parse::<u64>().map_err(io::Error::other);
            let (mut dice, signs) = (suite::Dice::new(number(seed)?), engrave::Signs::all());
            let words = words::Words::thrown(&mut dice);
            let mut file = BufWriter::new(File::create(out)?);
            for _ in 0..number(count)? {
                let strip = sheet::strip(&mut dice, signs, &words);
                pack::write(&mut file, (255, 0), &strip.picture, &strip.sorts)?;
            }
            Ok(())
        }
        ["compared", outputs] => {
            let Some(opendata) = suite::opendata() else { return Ok(()) };
            let expected = std::fs::read(outputs)?;
            let mut expected = expected
                .chunks_exact(4)
                .map(|four| f32::from_le_bytes([four[0], four[1], four[2], four[3]]));
            let network = facsimile::Network::shipped();
            let strips = suite::laid_out(&opendata, &|_, _| true);
            let begun = std::time::Instant::now();
            let mut most = 0.0_f32;
            for strip in &strips {
                for output in network.raw(&strip.picture).into_iter().flatten() {
                    let expected = expected
                        .next()
                        .ok_or_else(|| io::Error::other("there are fewer outputs"))?;
                    most = most.max((output - expected).abs());
                }
            }
            let took = begun.elapsed() / strips.len() as u32;
            println!("{} strips: at most {most:.6} apart, {took:?} each", strips.len());
            Ok(())
        }
        _ => Err(io::Error::other("strips truth OUT | strips drawn SEED COUNT OUT")),
    }
}
