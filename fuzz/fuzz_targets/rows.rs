//! Rows of sorts, of which the bytes are the numbers: whatever was read on staves, it is a parts file, and
//! goes all the way.

#![no_main]

use cartella_fuzz::whole_way;
use facsimile::{Change, Instead, Read, Row, Sort};
use libfuzzer_sys::fuzz_target;
use source::{Part, StaffLine, read, read_together};

/// What ends a line, and a voice.
const LINE: u8 = 255;
const VOICE: u8 = 254;

fuzz_target!(|data: &[u8]| {
    let voices = data.split(|byte| *byte == VOICE).take(6);
    let parts: Vec<Part> = voices
        .map(|voice| {
            let lines = voice.split(|byte| *byte == LINE).take(12);
            let line = |bytes| StaffLine { row: row(bytes), place: None, ends_page: false };
            Part { name: "tenor".to_owned(), lines: lines.map(line).collect() }
        })
        .collect();
    for reading in [read(&parts), read_together(&parts)].into_iter().flatten() {
        whole_way(&reading.text);
    }
});

/// Three bytes are a sort, its confidence, and what else it may be.
fn row(bytes: &[u8]) -> Row {
    let mut row = Row::default();
    let numbered = |byte: usize| Sort::numbered(byte % Sort::COUNT);
    for three in bytes.chunks_exact(3).take(60) {
        let [number, confidence, other] = [three[0], three[1], three[2]].map(usize::from);
        let place = row.sorts.len();
        let Some(sort) = numbered(2 * number) else { continue };
        let confidence = confidence as f32 / 255.0;
        row.sorts.push(Read::new(sort, confidence, 0..4));
        let Some(sort) = numbered(2 * other) else { continue };
        let instead = match other % 3 {
            0 => Instead::Other(sort),
            1 => Instead::Nothing,
            _ => Instead::Before(sort),
        };
        row.changes.push(Change { place, instead, odds: -4.0 * confidence });
    }
    row
}
