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

/// Writes the same bytes where there is no way back: how long it is, is known before.
///
/// # Errors
/// If it cannot be written there.
pub fn stream_wav(samples: &mut Samples<'_>, mut out: impl Write) -> Result<(), Error> {
    out.write_all(&header(samples)).map_err(Error::Write)?;
    let mut quantizer = Quantizer::new();
    let mut bytes = Vec::new();
    while let Some(frames) = samples.next_block() {
        bytes.clear();
        for frame in frames {
            bytes.extend(quantizer.frame(*frame).iter().flat_map(|sample| sample.to_le_bytes()));
        }
        out.write_all(&bytes).map_err(Error::Write)?;
    }
    out.flush().map_err(Error::Write)
}

/// The chunks before the samples: RIFF, the format (1 is PCM), and the size of the data.
fn header(samples: &Samples<'_>) -> Vec<u8> {
    const CHANNELS: u16 = 2;
    let frame = CHANNELS * BITS as u16 / 8;
    let data = (samples.frames() * u64::from(frame)) as u32;
    let mut header = Vec::with_capacity(44);
    header.extend(b"RIFF");
    header.extend((data + 36).to_le_bytes());
    header.extend(b"WAVEfmt ");
    header.extend(16_u32.to_le_bytes());
    header.extend(1_u16.to_le_bytes());
    header.extend(CHANNELS.to_le_bytes());
    header.extend(samples.rate().to_le_bytes());
    header.extend((samples.rate() * u32::from(frame)).to_le_bytes());
    header.extend(frame.to_le_bytes());
    header.extend((BITS as u16).to_le_bytes());
    header.extend(b"data");
    header.extend(data.to_le_bytes());
    header
}

fn failed(error: hound::Error) -> Error {
    match error {
        hound::Error::IoError(error) => Error::Write(error),
        other => Error::Encode(other.to_string()),
    }
}
