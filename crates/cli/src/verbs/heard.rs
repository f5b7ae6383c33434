//! Files that are heard: sound, and MIDI in its tuning.

use std::io;
use std::path::Path;

use cartella::{
    Arranged, Error, MidiTuning, Performance, Rendering, SoundError, Tuning, render, write_flac,
    write_wav,
};

use crate::files::{self, Failure, Inputs};
use crate::instrument::Said;
use crate::kind::Kind;
use crate::printed::Printed;

/// Writes a file of sound as it is rendered.
pub(crate) fn write(
    out: &Path,
    kind: Kind,
    performance: &Performance,
    rendering: &Rendering,
    inputs: &Inputs,
) -> Result<(), Failure> {
    files::write_made(out, inputs, &|file| {
        let samples = render(performance, rendering);
        let written = samples.and_then(|mut samples| match kind {
            Kind::Flac => write_flac(&mut samples, file),
            _ => write_wav(&mut samples, file),
        });
        written.map_err(|error| match error {
            SoundError::Write(error) => error,
            other => io::Error::other(other),
        })
    })
}

/// The bytes of a MIDI file.
pub(crate) fn midi(
    arranged: &Arranged<'_>,
    performance: &Performance,
    tuning: &Tuning,
    said: Said,
) -> Result<Vec<u8>, Error> {
    let notes = || tuning.frequencies(performance);
    match said {
        Said::None => arranged.midi(performance, MidiTuning::Unsaid),
        Said::Bend => arranged.midi(performance, MidiTuning::Bend { notes: &notes() }),
        Said::Table => {
            let keys = &tuning.keyboard();
            arranged.midi(performance, MidiTuning::Table { keys, notes: &notes() })
        }
    }
}

/// What of the piece the tuning does not have, in a line.
pub(crate) fn lapses(tuning: &Tuning, performance: &Performance, name: &str) -> Printed {
    let lapses = tuning.lapses(performance);
    if lapses.is_empty() {
        return Printed::default();
    }
    let split = lapses.lacks.iter().map(|lack| format!("{}/{}", lack.sounds, lack.note));
    let split = split.collect::<Vec<_>>().join(",");
    Printed::plain(format!(
        "{name}: the keyboard does not have every note of {}: {lapses}; `--keys {split}` has them\n",
        tuning.temperament.name()
    ))
}
