//! What the suite over whole pieces shares: where the open data and the fixtures are, and a reader
//! of MusicXML that has nothing in common with the program's own.

mod matching;
mod musicxml;
mod pipeline;
mod places;
mod reading;
mod signs;
mod smf;

pub use matching::{Match, match_voices};
pub use musicxml::{SoundingNote, SoundingVoice, minims, sounding_voices};
pub use pipeline::{aligned, madrigal_parts, musicxml};
pub use places::{MADRIGALS, PARTS, duos, fixtures, madrigal, opendata, schema_validator};
pub use reading::{faultless, minim, read_score, sounding};
pub use signs::{
    FIORINO, PrintedSign, SPONTONE, VIRCHI, place, with_black_minims, with_signs, with_token,
};
pub use smf::{MidiNote, MidiTrack, midi_tracks};
