//! How a score sounds: temperament, pitch, instrument.

use cartella::{Keys, KeysError, Rendering, Tuning};
use clap::{Args, ValueEnum};

use crate::kind::Kind;

/// What a score is played on, and how that is tuned.
#[derive(Args, Clone)]
pub(crate) struct OnInstrument {
    /// How the instrument is tuned; in quarter-comma meantone unless told otherwise
    #[arg(long, value_enum, ignore_case = true, value_name = "TEMPERAMENT")]
    temperament: Option<Temperament>,
    /// The notes of keys that have others than the usual C#, Eb, F#, G# and Bb, separated by commas: Ab
    /// for G sharp; G#/Ab for a split key that has both
    #[arg(long, value_name = "NOTES", value_parser = keys)]
    keys: Option<Keys>,
    /// How high A is, in hertz; 440 unless told otherwise. Usual pitches are 392, 415, 440 and 466
    #[arg(long, value_name = "HERTZ", value_parser = pitch)]
    pitch: Option<f64>,
    /// How a MIDI file says all this: by a table of tuning (MIDI Tuning Standard), by bending the pitch of
    /// channels, for players that read no table, or not at all; by a table unless told otherwise
    #[arg(long, value_enum, ignore_case = true, value_name = "HOW")]
    tuning: Option<Said>,
    /// On what it is played; a small organ unless told otherwise
    #[arg(long, value_enum, ignore_case = true, value_name = "INSTRUMENT")]
    instrument: Option<Instrument>,
    /// The stops of the organ, in feet, separated by commas; 8,4 unless told otherwise
    #[arg(long, value_enum, value_delimiter = ',', value_name = "FEET")]
    stops: Vec<Stop>,
    /// Where it is played; in a chamber unless told otherwise
    #[arg(long, value_enum, ignore_case = true, value_name = "ROOM")]
    room: Option<Room>,
}

/// Temperaments by what their fifths lack.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Temperament {
    /// Meantone with pure major thirds
    QuarterComma,
    /// Meantone with thirds and fifths that are both a little impure
    SixthComma,
    /// Zarlino's meantone: major and minor thirds are narrow alike
    TwoSevenths,
    /// Pure fifths
    Pythagorean,
    /// Every note pure against the bass: for study, no keyboard has it
    Just,
    /// Twelve fifths alike
    Equal,
}

/// How a MIDI file says how high its notes are.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Said {
    Table,
    Bend,
    None,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Instrument {
    /// A small positive organ
    Organ,
    /// Strings plucked by quills
    Plucked,
    /// A plain tone, for study
    Plain,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Stop {
    #[value(name = "8")]
    Eight,
    #[value(name = "4")]
    Four,
    #[value(name = "2")]
    Two,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Room {
    /// A wooden room with a few people in it
    Chamber,
    /// Stone, with an echo of two seconds
    Chapel,
    /// The instrument alone
    None,
}

fn keys(text: &str) -> Result<Keys, KeysError> {
    text.parse()
}

fn pitch(text: &str) -> Result<f64, String> {
    let [least, most] = Tuning::PITCH_RANGE;
    let hertz = text.trim_end_matches("Hz").trim().parse().ok();
    hertz.filter(|hertz| (least..=most).contains(hertz)).ok_or_else(|| {
        format!(
            "`{text}` is not a pitch of A: type hertz from {least} to {most}; usual are 392, 415, 440 \
             and 466"
        )
    })
}

impl OnInstrument {
    /// What is asked in words: the names of a temperament and of an instrument, and how high A is, in hertz.
    pub(crate) fn of_words(
        temperament: Option<&str>,
        hertz: Option<f64>,
        instrument: Option<&str>,
    ) -> Result<OnInstrument, String> {
        fn named<T: ValueEnum>(word: &str) -> Result<T, String> {
            T::from_str(word, true)
        }
        Ok(OnInstrument {
            temperament: temperament.map(named).transpose()?,
            pitch: hertz.map(|hertz| pitch(&hertz.to_string())).transpose()?,
            instrument: instrument.map(named).transpose()?,
            keys: None,
            tuning: None,
            stops: Vec::new(),
            room: None,
        })
    }

    /// How a MIDI file says how high its notes are.
    pub(crate) fn said(&self) -> Said {
        self.tuning.unwrap_or(Said::Table)
    }

    /// How the instrument is tuned.
    pub(crate) fn tuning(&self) -> Tuning {
        let usual = Tuning::default();
        Tuning {
            temperament: self.temperament.map_or(usual.temperament, Temperament::meant),
            keys: self.keys.clone().unwrap_or(usual.keys),
            pitch: self.pitch.unwrap_or(usual.pitch),
        }
    }

    /// How it sounds.
    pub(crate) fn rendering(&self) -> Rendering {
        let usual = Rendering::default();
        let stop = |stop: &Stop| match stop {
            Stop::Eight => cartella::Stop::Eight,
            Stop::Four => cartella::Stop::Four,
            Stop::Two => cartella::Stop::Two,
        };
        let instrument = match self.instrument {
            None | Some(Instrument::Organ) if self.stops.is_empty() => usual.instrument,
            None | Some(Instrument::Organ) => {
                cartella::Instrument::Organ(self.stops.iter().map(stop).collect())
            }
            Some(Instrument::Plucked) => cartella::Instrument::Plucked,
            Some(Instrument::Plain) => cartella::Instrument::Plain,
        };
        let room = match self.room {
            None | Some(Room::Chamber) => cartella::Room::Chamber,
            Some(Room::Chapel) => cartella::Room::Chapel,
            Some(Room::None) => cartella::Room::None,
        };
        Rendering { tuning: self.tuning(), instrument, room, ..usual }
    }

    /// What is asked of sound where it has no effect.
    pub(crate) fn check(&self, kinds: &[Kind]) -> Result<(), &'static str> {
        let OnInstrument { temperament, keys, pitch, tuning, instrument, stops, room } = self;
        let is_tuned = temperament.is_some() || keys.is_some() || pitch.is_some();
        let is_played = instrument.is_some() || !stops.is_empty() || room.is_some();
        if is_tuned && !kinds.iter().any(|kind| kind.is_heard()) {
            return Err(
                "--temperament, --keys and --pitch say how an instrument is tuned, and nothing is \
                        written that can be heard: leave them out, or add -o NAME.flac",
            );
        }
        if is_played && !kinds.iter().any(|kind| kind.is_sound()) {
            return Err(
                "--instrument, --stops and --room are for files of sound: leave them out, or add -o \
                        NAME.flac or -o NAME.wav",
            );
        }
        if tuning.is_some() && !kinds.contains(&Kind::Mid) {
            return Err("--tuning says how a MIDI file is tuned: leave it out, or add -o NAME.mid");
        }
        if !stops.is_empty() && instrument.is_some_and(|instrument| instrument != Instrument::Organ)
        {
            return Err(
                "--stops are those of the organ: leave them out, or type --instrument organ",
            );
        }
        if keys.is_some() && matches!(temperament, Some(Temperament::Just | Temperament::Equal)) {
            return Err("this temperament has all notes: leave --keys out");
        }
        Ok(())
    }
}

impl Temperament {
    fn meant(self) -> cartella::Temperament {
        match self {
            Temperament::QuarterComma => cartella::Temperament::QuarterComma,
            Temperament::SixthComma => cartella::Temperament::SixthComma,
            Temperament::TwoSevenths => cartella::Temperament::TwoSevenths,
            Temperament::Pythagorean => cartella::Temperament::Pythagorean,
            Temperament::Just => cartella::Temperament::Just,
            Temperament::Equal => cartella::Temperament::Equal,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pitch_is_in_hertz() {
        for (text, hertz) in [("415", 415.0), ("442.5", 442.5), ("466 Hz", 466.0), ("392Hz", 392.0)]
        {
            assert_eq!(pitch(text), Ok(hertz), "{text}");
        }
        for text in ["", "A", "300", "600", "NaN", "inf"] {
            assert!(pitch(text).unwrap_err().contains("usual are"), "{text}");
        }
    }
}
