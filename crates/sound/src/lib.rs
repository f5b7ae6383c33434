//! A score as it is heard.
//!
//! [`perform`] decides how a score is played: when every note is struck and let go, how loud each voice
//! is and where it is heard. What it decides is a [`Performance`], a plain type, of which sound, MIDI
//! and times are made. A [`Tuning`] says how high each note is, an [`Instrument`] what sounds; [`render`]
//! gives samples, [`write_wav`] and [`write_flac`] write files of them. Nothing here opens a file or a
//! device.
//!
//! ```
//! use score::{BarLength, align, reckon};
//! use sound::{Playing, perform};
//!
//! let piece = notation::parse("voice Cantus clef C1\n  sb A4 br B lg C5 //\n").piece;
//! let score = align(&piece, reckon(&piece), BarLength::Breve).score;
//! let performance = perform(&score, &Playing::of(&score), None);
//! let struck: Vec<f64> = performance.notes.iter().map(|note| note.struck).collect();
//! assert_eq!(struck, [0.0, 2.0, 6.0]); // a minim is a second
//! assert_eq!(performance.seconds(), 10.0); // the last note is held
//! ```

mod error;
mod file;
mod instrument;
mod performance;
mod render;
mod temperament;

pub use error::{Error, LONGEST};
pub use file::{stream_wav, write_flac, write_wav};
pub use instrument::{Instrument, Stop};
pub use performance::{Playing, Touch, perform};
pub use render::{Frame, Rendering, Room, Samples, render};
pub use score::{Clock, Hold, Performance, PlayedBar, PlayedNote, PlayedVoice, Stroke, Tempo};
pub use temperament::{Keys, KeysError, Lack, Lapses, Note, PITCHES, Temperament, Tuning, Wolf};
