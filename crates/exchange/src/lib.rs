//! What comes from other formats and goes to them: MEI part files in, MusicXML out.
//!
//! Readers give the text of a parts file, so that whatever they read can be looked at, checked and
//! gone on with; writers take an arrangement. Nothing here opens a file.

mod mei;
mod musicxml;
mod reading;
mod xml;

pub use mei::{MeiPart, read_mei};
pub use musicxml::write_musicxml;
pub use reading::{Fault, ReadError, Reading, Remark};
pub use xml::LARGEST_FILE;
