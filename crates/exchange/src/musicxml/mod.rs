//! MusicXML 4.0 (W3C Music Notation Community Group, final report of 1 June 2021).

mod note_signs;
mod read;
mod write;

pub use read::{Minim, is_musicxml, read_musicxml};
pub use write::{MusicXmlError, write_musicxml};
