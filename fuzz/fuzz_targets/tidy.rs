//! The canonical form is the same music.

#![no_main]

use cartella_fuzz::{parts_file, tidied};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    if let Some(text) = parts_file(data) {
        tidied(&text);
    }
});
