//! MusicXML 4.0 (W3C Music Notation Community Group, final report of 1 June 2021).

mod write;

pub use write::write_musicxml;
