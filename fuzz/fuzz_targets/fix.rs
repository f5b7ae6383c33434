//! What is mechanical, mended, leaves the music that was read.

#![no_main]

use cartella_fuzz::{mended, parts_file};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    if let Some(text) = parts_file(data) {
        mended(&text);
    }
});
