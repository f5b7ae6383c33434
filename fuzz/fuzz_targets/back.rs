//! A parts file goes to MusicXML and back, and its grid is the same.

#![no_main]

use cartella_fuzz::{back_again, parts_file};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    if let Some(text) = parts_file(data) {
        back_again(&text);
    }
});
