//! WAV, the simplest sound file (Microsoft and IBM, *Multimedia Programming Interface and Data
//! Specifications 1.0*, 1991).

use std::io::{Seek, Write};

use hound::{SampleFormat, WavSpec, WavWriter};

use super::quantize::{BITS, Quantizer};
use crate::error::Error;
use crate::render::Samples;

/// Writes samples as a WAV file.
///
/// # Errors
/// If it cannot be written there.
pub fn write_wav(samples: &mut Samples<'_>, out: impl Write + Seek) -> Result<(), Error> {
    let spec = WavSpec {
        channels: 2,
        sample_rate: samples.rate(),
        bits_per_sample: BITS as u16,
        sample_format: SampleFormat::Int,
    };
    let mut writer = WavWriter::new(out, spec).map_err(failed)?;
    let mut quantizer = Quantizer::new();
    while let Some(frames) = samples.next_block() {
        let mut block = writer.get_i16_writer(2 * frames.len() as u32);
        for frame in frames {
            for sample in quantizer.frame(*frame) {
                block.write_sample(sample);
            }
        }
        block.flush().map_err(failed)?;
    }
    writer.finalize().map_err(failed)
}

fn failed(error: hound::Error) -> Error {
    match error {
        hound::Error::IoError(error) => Error::Write(error),
        other => Error::Encode(other.to_string()),
    }
}
