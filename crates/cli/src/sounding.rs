//! How a score is heard: tempo, the loudness of voices, what is repeated.

use std::path::PathBuf;

use cartella::{Aligned, Playing, Score, Tempo, Value};
use clap::{Args, ValueEnum};

use crate::kind::Kind;
use crate::passage::voice_named;

/// How a score is heard.
#[derive(Args, Clone)]
pub(crate) struct Sounding {
    /// The tempo: so many of a value to the minute, mn=72 or sb=36; mn=60 unless told otherwise
    #[arg(long, value_name = "VALUE=COUNT", value_parser = tempo)]
    tempo: Option<Tempo>,
    /// Voices that are heard alone, separated by commas
    #[arg(long, value_delimiter = ',', value_name = "VOICE", conflicts_with = "mute")]
    solo: Vec<String>,
    /// Voices that are silent, separated by commas
    #[arg(long, value_delimiter = ',', value_name = "VOICE")]
    mute: Vec<String>,
    /// Voices that are louder or softer, by decibels from -40 to 12, separated by commas:
    /// Cantus=3,Bassus=-6
    #[arg(long, value_delimiter = ',', value_name = "VOICE=DECIBELS", value_parser = level)]
    level: Vec<Level>,
    /// Count so many bars before the music begins
    #[arg(long, value_name = "BARS", value_parser = clap::value_parser!(u8).range(1..=8))]
    count_in: Option<u8>,
    /// How often it is played, one time after another; once unless told otherwise
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u8).range(1..=20))]
    times: Option<u8>,
    /// Whether sections that the source repeats are played twice, or once; twice unless told otherwise
    #[arg(long, value_enum, ignore_case = true, value_name = "OFTEN")]
    repeats: Option<Repeats>,
    /// Write, as JSON, the seconds of every note, bar and system; - is standard output
    #[arg(long, value_name = "FILE", conflicts_with = "into")]
    pub(crate) timing: Option<PathBuf>,
}

/// How often repeated sections are played.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Repeats {
    Twice,
    Once,
}

/// How much louder than usual a voice is.
#[derive(Clone, PartialEq, Debug)]
struct Level {
    voice: String,
    decibels: f64,
}

fn tempo(text: &str) -> Result<Tempo, String> {
    let parts = text.split_once(['=', ' ']).map(|(value, count)| (value.trim(), count.trim()));
    let found = parts
        .and_then(|(value, count)| Some((Value::from_letters(value)?, count.parse::<u16>().ok()?)));
    let Some((value, count)) = found else {
        return Err(format!(
            "`{text}` is not a tempo: type a value and how many of it there are in a minute, sb=36 or \
             mn=72"
        ));
    };
    Tempo::new(value, count).ok_or_else(|| {
        let [least, most] = Tempo::MINIMS;
        format!("{text} is too slow or too fast: a minute has from {least} to {most} minims")
    })
}

fn level(text: &str) -> Result<Level, String> {
    let found = text.rsplit_once('=').and_then(|(voice, decibels)| {
        let decibels =
            decibels.parse().ok().filter(|decibels| (-40.0..=12.0).contains(decibels))?;
        Some(Level { voice: voice.to_owned(), decibels })
    });
    found.filter(|level| !level.voice.is_empty()).ok_or_else(|| {
        format!(
            "`{text}` does not say how loud a voice is: type its name and the decibels, from -40 to 12, \
             Cantus=3 or Bassus=-6"
        )
    })
}

impl Sounding {
    /// What is asked in words: a tempo, and the voices that are heard alone or silent.
    pub(crate) fn of_words(
        tempo: Option<&str>,
        solo: Vec<String>,
        mute: Vec<String>,
    ) -> Result<Sounding, String> {
        let tempo = tempo.map(self::tempo).transpose()?;
        let (level, count_in, times, repeats, timing) = (Vec::new(), None, None, None, None);
        Ok(Sounding { tempo, solo, mute, level, count_in, times, repeats, timing })
    }

    /// How a piece is played, which is still whole; else what is wrong with the question.
    pub(crate) fn playing(&self, whole: &Aligned<'_>) -> Result<Playing, String> {
        let mut playing = whole.playing();
        let score = &whole.score;
        if !self.solo.is_empty() {
            let heard = places(score, &self.solo)?;
            for (place, seat) in playing.seats.iter_mut().enumerate() {
                seat.loudness = if heard.contains(&place) { seat.loudness } else { 0.0 };
            }
        }
        for place in places(score, &self.mute)? {
            playing.seats[place].loudness = 0.0;
        }
        for Level { voice, decibels } in &self.level {
            let place = score.voices[voice_named(score, voice)?].place;
            // Amplitudes go by twenties of decibels.
            playing.seats[place].loudness *= 10_f64.powf(decibels / 20.0);
        }
        playing.tempo = self.tempo.unwrap_or(playing.tempo);
        playing.count_in = self.count_in.map_or(playing.count_in, u32::from);
        playing.times = self.times.map_or(playing.times, u32::from);
        playing.repeats = self.repeats != Some(Repeats::Once);
        Ok(playing)
    }

    /// What asks for sound where nothing that is written is heard.
    pub(crate) fn check(&self, kinds: &[Kind]) -> Result<(), &'static str> {
        let Sounding { tempo, solo, mute, level, count_in, times, repeats, timing } = self;
        let is_asked = tempo.is_some()
            || !(solo.is_empty() && mute.is_empty() && level.is_empty())
            || count_in.is_some()
            || times.is_some()
            || repeats.is_some();
        if is_asked && timing.is_none() && !kinds.iter().any(|kind| kind.is_heard()) {
            return Err(
                "--tempo, --solo, --mute, --level, --count-in, --times and --repeats say how a score \
                        is heard, and nothing is written that can be heard: leave them out, or add \
                        -o NAME.mid or --timing NAME.json",
            );
        }
        Ok(())
    }
}

/// The places of voices in the piece, by their names.
fn places(score: &Score, names: &[String]) -> Result<Vec<usize>, String> {
    names.iter().map(|name| Ok(score.voices[voice_named(score, name)?].place)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tempo_is_a_value_and_a_count() {
        for text in ["sb=36", "sb 36"] {
            assert_eq!(tempo(text), Ok(Tempo::new(Value::Semibreve, 36).unwrap()), "{text}");
        }
        for text in ["36", "sb", "sb=", "xx=36", "sb=36.5", "=36", ""] {
            assert!(tempo(text).unwrap_err().contains("type a value"), "{text}");
        }
        let said = "mn=5 is too slow or too fast: a minute has from 10 to 480 minims";
        assert_eq!(tempo("mn=5"), Err(said.to_owned()));
        assert!(tempo("mx=30").is_ok());
        assert!(tempo("mx=31").is_err());
    }

    #[test]
    fn a_level_is_a_voice_and_decibels() {
        let louder = |voice: &str, decibels| Ok(Level { voice: voice.to_owned(), decibels });
        assert_eq!(level("Cantus=3"), louder("Cantus", 3.0));
        assert_eq!(level("Cantus=+3.5"), louder("Cantus", 3.5));
        assert_eq!(level("a=b=-6"), louder("a=b", -6.0));
        for text in ["Cantus", "=3", "Cantus=", "Cantus=13", "Cantus=-41", "Cantus=NaN"] {
            assert!(level(text).unwrap_err().contains("type its name"), "{text}");
        }
    }
}
