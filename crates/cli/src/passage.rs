//! Some bars, or some voices, of a piece: what `--bars`, `--voices`, `--without` and `--blank` ask for.

use cartella::{Aligned, Excerpt, Score, Time};
use clap::Args;

/// Which bars and voices are wanted.
#[derive(Args, Clone)]
pub(crate) struct Passage {
    /// These bars alone: 5-8; one bar, 5; from a bar to the end, 5-
    #[arg(long, value_name = "FIRST-LAST", value_parser = range)]
    bars: Option<Range>,
    /// These voices alone, separated by commas: Cantus,Bassus
    #[arg(long, value_delimiter = ',', value_name = "VOICE")]
    voices: Vec<String>,
    /// All voices but these, separated by commas
    #[arg(long, value_delimiter = ',', value_name = "VOICE", conflicts_with = "voices")]
    without: Vec<String>,
}

/// Bars from one to another.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Range {
    first: u32,
    /// Nothing for the last of the piece.
    last: Option<u32>,
}

fn range(text: &str) -> Result<Range, String> {
    let (first, last) = match text.split_once(['-', '–']) {
        None => (text, Some(text)),
        Some((first, "")) => (first, None),
        Some((first, last)) => (first, Some(last)),
    };
    let first = first.trim().parse::<u32>().ok();
    let last = last.map(|last| last.trim().parse::<u32>().ok());
    match (first, last) {
        (Some(first), Some(Some(last))) if first > last => {
            Err(format!("bar {first} is after bar {last}: type {last}-{first}"))
        }
        (Some(first), None) => Ok(Range { first, last: None }),
        (Some(first), Some(Some(last))) => Ok(Range { first, last: Some(last) }),
        _ => Err(format!(
            "`{text}` does not say which bars: type the first and the last, 5-8; or one bar, 5; or \
             from a bar to the end, 5-"
        )),
    }
}

impl Passage {
    /// Whether some bars alone are wanted.
    pub(crate) fn has_bars(&self) -> bool {
        self.bars.is_some()
    }

    /// Whether the whole piece is wanted.
    pub(crate) fn is_whole(&self) -> bool {
        self.bars.is_none() && self.voices.is_empty() && self.without.is_empty()
    }

    /// Leaves of a piece only what is wanted, and the staves of some voices empty; else what is wrong with
    /// the question.
    pub(crate) fn cut(&self, aligned: &mut Aligned<'_>, blank: &[String]) -> Result<(), String> {
        for name in blank {
            let voice = voice_named(&aligned.score, name)?;
            aligned.score.blank(voice, Time::ZERO, aligned.score.length);
        }
        let score = &aligned.score;
        let bars = self.bars.map(|bars| bars.of(score)).transpose()?;
        let excerpt = Excerpt { bars, voices: self.places(score)? };
        if excerpt != Excerpt::default() {
            *aligned = aligned.excerpt(&excerpt).map_err(|none| none.to_string())?;
        }
        Ok(())
    }

    /// The voices that are wanted; nothing for all.
    fn places(&self, score: &Score) -> Result<Option<Vec<usize>>, String> {
        let places = |names: &[String]| {
            names
                .iter()
                .map(|name| voice_named(score, name))
                .collect::<Result<Vec<usize>, String>>()
        };
        if !self.voices.is_empty() {
            return places(&self.voices).map(Some);
        }
        let out = places(&self.without)?;
        if out.is_empty() {
            return Ok(None);
        }
        let rest: Vec<usize> =
            (0..score.voices.len()).filter(|place| !out.contains(place)).collect();
        if rest.is_empty() {
            return Err("no voice is left: name fewer of them after --without".to_owned());
        }
        Ok(Some(rest))
    }
}

impl Range {
    /// The bars of a score, all of which must be there.
    fn of(self, score: &Score) -> Result<std::ops::RangeInclusive<u32>, String> {
        let numbers =
            score.bars.first().map(|bar| bar.number).zip(score.bars.last().map(|bar| bar.number));
        let Some((least, most)) = numbers else { return Err("there are no bars".to_owned()) };
        let Range { first, last } = self;
        let last = last.unwrap_or(most.max(first));
        if let Some(missing) = [first, last].into_iter().find(|bar| !(least..=most).contains(bar)) {
            let (from, to) = (first.clamp(least, most), last.clamp(least, most));
            let typed = if from == to { from.to_string() } else { format!("{from}-{to}") };
            return Err(format!(
                "there is no bar {missing}: the piece has bars {least} to {most}; type --bars {typed}"
            ));
        }
        Ok(first..=last)
    }
}

/// The place of a voice in a score by its name; else what is wrong.
pub(crate) fn voice_named(score: &Score, name: &str) -> Result<usize, String> {
    score.voices.iter().position(|voice| voice.name == name).ok_or_else(|| {
        let names: Vec<&str> = score.voices.iter().map(|voice| voice.name.as_str()).collect();
        format!("there is no voice {name}; the voices are {}", names.join(", "))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bars_are_typed_in_three_ways() {
        let bars = |first, last| Ok(Range { first, last });
        assert_eq!(range("5-8"), bars(5, Some(8)));
        assert_eq!(range("5–8"), bars(5, Some(8)));
        assert_eq!(range("5"), bars(5, Some(5)));
        assert_eq!(range("5-"), bars(5, None));
    }

    #[test]
    fn what_is_no_range_is_said() {
        assert_eq!(range("8-5"), Err("bar 8 is after bar 5: type 5-8".to_owned()));
        for text in ["", "-", "five", "5-8-9", "-8", "5,8", "99999999999"] {
            assert!(
                range(text).unwrap_err().contains("type the first and the last, 5-8"),
                "{text}"
            );
        }
    }
}
