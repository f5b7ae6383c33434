//! Sound files: WAV and FLAC, both with 16 bits a sample, written as they are rendered.

mod flac;
mod quantize;
mod wav;

pub use flac::write_flac;
pub use wav::{stream_wav, write_wav};
