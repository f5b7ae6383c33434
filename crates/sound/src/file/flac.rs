//! FLAC, which is as exact as WAV and shorter (RFC 9639).
//!
//! Frames are encoded and written one by one. What the head says of them all, how many they are, how long
//! the longest is and their digest, is written at the end.

use std::fmt;
use std::io::{Seek, SeekFrom, Write};

use flacenc::bitsink::ByteSink;
use flacenc::component::{BitRepr, Stream, StreamInfo};
use flacenc::config::Encoder;
use flacenc::encode_fixed_size_frame;
use flacenc::error::Verify;
use flacenc::source::{Context, Fill, FrameBuf};

use super::quantize::{BITS, Quantizer};
use crate::error::Error;
use crate::render::Samples;

/// Samples of each side in a frame.
const BLOCK: usize = 4096;

/// Writes samples as a FLAC file.
///
/// # Errors
/// If it cannot be written there.
pub fn write_flac(samples: &mut Samples<'_>, mut out: impl Write + Seek) -> Result<(), Error> {
    let config = Encoder::default().into_verified().map_err(|(_, error)| failed(error))?;
    let mut info = StreamInfo::new(samples.rate() as usize, 2, BITS).map_err(failed)?;
    let begin = out.stream_position()?;
    out.write_all(&head(info.clone())?)?;
    let mut quantizer = Quantizer::new();
    let mut buffer = FrameBuf::with_size(2, BLOCK).map_err(failed)?;
    let mut context = Context::new(BITS, 2);
    let mut block: Vec<i32> = Vec::with_capacity(2 * BLOCK);
    let mut bytes = ByteSink::new();
    let mut number = 0;
    loop {
        block.clear();
        while block.len() < 2 * BLOCK
            && let Some(frames) = samples.next_block()
        {
            block.extend(frames.iter().flat_map(|frame| quantizer.frame(*frame)).map(i32::from));
        }
        if block.is_empty() {
            break;
        }
        // All frames are of one size, with silence at the end.
        block.resize(2 * BLOCK, 0);
        buffer.fill_interleaved(&block).map_err(failed)?;
        context.fill_interleaved(&block).map_err(failed)?;
        let frame = encode_fixed_size_frame(&config, &buffer, number, &info).map_err(failed)?;
        info.update_frame_info(&frame);
        bytes.clear();
        frame.write(&mut bytes).map_err(failed)?;
        out.write_all(bytes.as_slice())?;
        number += 1;
    }
    info.set_md5_digest(&context.md5_digest());
    let end = out.stream_position()?;
    out.seek(SeekFrom::Start(begin))?;
    out.write_all(&head(info)?)?;
    out.seek(SeekFrom::Start(end))?;
    out.flush()?;
    Ok(())
}

/// What stands before the frames.
fn head(info: StreamInfo) -> Result<Vec<u8>, Error> {
    let mut bytes = ByteSink::new();
    Stream::with_stream_info(info).write(&mut bytes).map_err(failed)?;
    Ok(bytes.into_inner())
}

fn failed(error: impl fmt::Display) -> Error {
    Error::Encode(error.to_string())
}
