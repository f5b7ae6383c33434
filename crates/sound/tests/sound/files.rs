//! Sound files, read back by another library.

use std::io::Cursor;

use sound::{Performance, Rendering, render, write_flac, write_wav};
use symphonia::core::audio::sample::Sample;
use symphonia::core::codecs::audio::AudioDecoderOptions;
use symphonia::core::errors::Error;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::{FormatOptions, TrackType};
use symphonia::core::io::{MediaSourceStream, MediaSourceStreamOptions};
use symphonia::core::meta::MetadataOptions;

use crate::music::{RATE, frames, performance};

/// Left and right of all frames, as another library reads them, and their rate.
fn read(bytes: Vec<u8>) -> (Vec<[i32; 2]>, u32) {
    let stream =
        MediaSourceStream::new(Box::new(Cursor::new(bytes)), MediaSourceStreamOptions::default());
    let mut format = symphonia::default::get_probe()
        .probe(&Hint::new(), stream, FormatOptions::default(), MetadataOptions::default())
        .unwrap();
    let track = format.default_track(TrackType::Audio).unwrap();
    let parameters = track.codec_params.as_ref().unwrap().audio().unwrap().clone();
    let options = AudioDecoderOptions::default().verify(true);
    let mut decoder =
        symphonia::default::get_codecs().make_audio_decoder(&parameters, &options).unwrap();
    let mut all = Vec::new();
    let mut samples: Vec<i16> = Vec::new();
    loop {
        match format.next_packet() {
            Ok(Some(packet)) => {
                let decoded = decoder.decode(&packet).unwrap();
                samples.resize(decoded.samples_interleaved(), i16::MID);
                decoded.copy_to_slice_interleaved(&mut samples);
                all.extend(samples.chunks(2).map(|pair| [i32::from(pair[0]), i32::from(pair[1])]));
            }
            Ok(None) | Err(Error::IoError(_)) => break,
            Err(error) => panic!("{error}"),
        }
    }
    // The digest of FLAC is that of its samples.
    assert_ne!(decoder.finalize().verify_ok, Some(false));
    (all, parameters.sample_rate.unwrap())
}

const DUO: &str = "voice Cantus clef C1\n sb A4 B mn C5 sb D mn C# lg D\n\
                   voice Tenor clef C4\n sb D3 E F G lg D3\n";

fn written(performance: &Performance, flac: bool) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    let mut samples = render(performance, &Rendering::default()).unwrap();
    if flac {
        write_flac(&mut samples, &mut bytes).unwrap();
    } else {
        write_wav(&mut samples, &mut bytes).unwrap();
    }
    bytes.into_inner()
}

#[test]
fn wav_is_read_as_it_was_rendered() {
    let performance = performance(DUO);
    let rendered = frames(&performance, &Rendering::default());
    let (read, rate) = read(written(&performance, false));
    assert_eq!(rate, RATE as u32);
    assert_eq!(read.len(), rendered.len());
    for (read, rendered) in read.iter().zip(&rendered) {
        for side in [0, 1] {
            // Rounding and its noise.
            let away = f64::from(read[side]) - rendered[side] * 32_767.0;
            assert!(away.abs() <= 1.5, "{away}");
        }
    }
}

#[test]
fn flac_has_the_samples_of_wav_and_is_shorter() {
    let performance = performance(DUO);
    let (wav, flac) = (written(&performance, false), written(&performance, true));
    assert!(flac.len() * 10 < wav.len() * 7, "{} of {}", flac.len(), wav.len());
    let (wav, _) = read(wav);
    let (flac, rate) = read(flac);
    assert_eq!(rate, RATE as u32);
    assert_eq!(wav[..], flac[..wav.len()]);
    assert!(flac[wav.len()..].iter().all(|frame| *frame == [0, 0]));
}

/// A performance that nobody listens to the end of is refused before it is rendered.
#[test]
fn what_is_too_long_is_refused() {
    let long = "voice V clef C1\n br _*9999 lg C5\n";
    assert!(render(&performance(long), &Rendering::default()).is_err());
}
