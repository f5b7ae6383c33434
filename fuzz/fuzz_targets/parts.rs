//! Parts files: every text is read, tidied, counted, aligned, arranged, written and read again.

#![no_main]

use cartella_fuzz::{parts_file, whole_way};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    if let Some(text) = parts_file(data) {
        whole_way(&text);
    }
});
