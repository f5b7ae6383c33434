//! The main job, parts text to keyboard MusicXML, beside what a general XML parser takes to read
//! that same MusicXML: the ratio of the two is the figure that counts (at most 1).

use divan::Bencher;
use score::{BarLength, Options};
use suite::{MADRIGALS, aligned, madrigal_parts, musicxml, opendata};

fn main() {
    divan::main();
}

/// The parts file of the madrigal with the most text.
fn largest() -> Option<String> {
    let opendata = opendata()?;
    MADRIGALS.into_iter().map(|piece| madrigal_parts(&opendata, piece)).max_by_key(String::len)
}

fn laid_out(text: &str) -> String {
    musicxml(&aligned(text, BarLength::Breve).0, Options::default())
}

#[divan::bench]
fn parts_to_musicxml(bencher: Bencher<'_, '_>) {
    if let Some(text) = largest() {
        bencher.bench(|| laid_out(divan::black_box(&text)));
    }
}

#[divan::bench]
fn musicxml_parsed_by_roxmltree(bencher: Bencher<'_, '_>) {
    if let Some(text) = largest() {
        let xml = laid_out(&text);
        bencher
            .bench(|| roxmltree::Document::parse(divan::black_box(&xml)).map(|d| d.root().range()));
    }
}
