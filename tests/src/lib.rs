//! What the suite over whole pieces shares: where the open data and the fixtures are, and a reader
//! of MusicXML that has nothing in common with the program's own.

pub mod brute;
pub mod cadences;
mod collating;
mod disturbed;
pub mod growth;
pub mod imitating;
mod laid_out;
mod learning;
mod matching;
pub mod melodies;
mod memory;
mod musicxml;
mod paper;
mod pictures;
pub mod pieces;
mod pipeline;
mod places;
pub mod planting;
mod playing;
mod printed;
mod raster;
mod reading;
mod scans;
mod signs;
mod slip_cases;
pub mod slips;
mod smf;
mod sorts;
mod sources;
pub mod typing;

pub use collating::Transcription;
pub use disturbed::{Dice, Disturbance};
pub use laid_out::{LaidOut, Opening, encoded_lines, laid_out, openings, printed_lines};
pub use learning::{Threads, read_wrong};
pub use matching::{Match, match_voices};
pub use memory::{forget_memory, peak_memory};
pub use musicxml::{SoundingNote, SoundingVoice, minims, sounding_voices};
pub use paper::{book, drawn_by_poppler, of_poppler};
pub use pictures::{LAYOUTS, Layout, drawn, without_definitions};
pub use pipeline::{aligned, madrigal_parts, musicxml};
pub use places::{
    CLEAN_MADRIGALS, MADRIGALS, PARTS, demo_book, duos, fixtures, is_installed, madrigal, opendata,
    schema_validator,
};
pub use playing::{Playing, playing};
pub use printed::{PRINTED, Printed, as_printed};
pub use raster::{Raster, compare_with_kept, rendered};
pub use reading::{faultless, read_score, sounding};
pub use scans::{Likeness, likeness, printed_parts, read_scans};
pub use signs::{FIORINO, PrintedSign, SIGNED, SPONTONE, VIRCHI, place, with_signs, with_token};
pub use slip_cases::{SLIPPED_FILES, SLIPS};
pub use smf::{MidiNote, MidiTrack, midi_tracks};
pub use sorts::{compared, differences};
pub use sources::{code, root, sources};
