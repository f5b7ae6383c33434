//! What comes from other formats and goes to them: MEI part files and MusicXML scores in, MusicXML,
//! plain or compressed, and MIDI out.
//!
//! Readers give the text of a parts file, so that whatever they read can be looked at, checked and
//! gone on with; writers take an arrangement, or what an arrangement is made of. Nothing here opens
//! a file.

mod elements;
mod mei;
mod midi;
mod musicxml;
mod mxl;
mod names;
mod reading;
mod xml;

pub use mei::{MeiPart, read_mei};
pub use midi::{MidiError, write_midi};
pub use musicxml::{Minim, MusicXmlError, read_musicxml, write_musicxml};
pub use mxl::write_mxl;
pub use reading::{Fault, ReadError, Reading, Remark};
pub use xml::LARGEST_FILE;
