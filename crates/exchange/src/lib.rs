//! What comes from other formats and goes to them: MEI part files and MusicXML scores in, MusicXML,
//! plain or compressed, and MIDI out.
//!
//! Readers give the text of a parts file, so that whatever they read can be looked at, checked and
//! gone on with; writers take an arrangement, or what an arrangement is made of. Nothing here opens
//! a file.
//!
//! ```
//! use exchange::{read_musicxml, write_midi, write_musicxml};
//! use score::{BarLength, Options, align, arrange, reckon};
//!
//! let piece = notation::parse("voice Cantus clef C1\n  sb A4 br B lg C5 //\n").piece;
//! let score = align(&piece, reckon(&piece), BarLength::Breve).score;
//! let written = write_musicxml(&arrange(&score, Options::default()))?;
//! let read = read_musicxml("duo", written.as_bytes(), None)?;
//! assert!(read.text.contains("sb A4 br B4"), "{}", read.text);
//!
//! let performance = sound::perform(&score, &sound::Playing::of(&score), None);
//! let to_be_heard = write_midi(&score, &performance)?;
//! assert!(to_be_heard.starts_with(b"MThd"));
//! # Ok::<(), exchange::Error>(())
//! ```

mod black;
mod elements;
mod error;
mod mei;
mod midi;
mod musicxml;
mod mxl;
mod names;
mod reading;
mod xml;

pub use black::{BlackGroup, black_groups};
pub use error::{Error, MidiError};
pub use mei::{MeiPart, read_mei};
pub use midi::{MidiTuning, write_midi, write_tuned_midi};
pub use musicxml::{Minim, MusicXmlError, is_musicxml, read_musicxml, write_musicxml};
pub use mxl::write_mxl;
pub use names::{names_of_files, voice_name};
pub use reading::{Fault, LARGEST_FILE, ReadError, Reading, Remark};
