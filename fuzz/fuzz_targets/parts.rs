//! Parts files: every text is read, tidied, counted, aligned, arranged, written and read again.

#![no_main]

use cartella_fuzz::{BUILT, whole_way, words};
use libfuzzer_sys::fuzz_target;

const WORDS: &[&str] = &[
    "C4", "D4", "E4", "F4", "G4", "A4", "B4", "C5", "D5", "F3", "B2", "C", "D", "E", "G", "A",
    "F#4", "Bb4", "Bn4", "F[#]4", "E#4", "Cb5", "F#[n]4", "G#4.", "D4.", ".E", "_", "_.", "_*3",
    "_*120", "_2", "_3", "D4^", "D4%", "D4?", "D4=5/2", "E4=1/3", "F4=9999", "G4=1/64", "_=7/5",
    "D4+A4", "D4+F#4+A4", "mx", "lg", "br", "sb", "mn", "sm", "fu", "sf", "(", ")", "{", "}", "[",
    "]", "<", "<?", "|", ">", "\\", "/", "//", "~E4", "~C", "||", "::", "\"words\"", "\"",
    "clef C1", "clef F4", "clef G2", "signature Bb", "signature none", "signature F#,C#", "sign C",
    "sign C|", "sign O", "sign C3", "sign 3/2", "sign 3", "ratio 3:2", "ratio 1:1", "ratio 5:4",
    "ratio 64:63", "perfect br", "imperfect br", "perfect sb", "=", ".", ":", "4", "11", "-1",
    "\nvoice A clef C1\n", "\nvoice B clef C4\n", "\nvoice C clef F4 signature Bb sign C|\n",
    "\nvoice D canon A 5 below after 2\n", "\nvoice E positions clef C3\n", "\nmore A\n",
    "\nmore B\n", "\ntitle T\n", "\nlayout barred\n", "\nlayout stacked\n", "\nsubject A 1-2\n",
    "\n; comment\n", "; rest\n", "\n", "\nsign C\n", "\nsignature Bb\n",
];

fuzz_target!(|data: &[u8]| {
    match data.split_first() {
        Some((&BUILT, data)) => whole_way(&words(data, WORDS)),
        _ => {
            if let Ok(text) = notation::text_of(data) {
                whole_way(text);
            }
        }
    }
});
