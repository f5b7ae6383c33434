//! The compass of an instrument, and what is done with notes that it has not.

use cartella::{Aligned, Compass, Interval, Mark, MarkColor, MarkShape, Pitch, Run, Step, Tone};
use clap::ValueEnum;

/// What is done with notes that the instrument has not.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Outside {
    /// They are ringed, and stay where they are
    Ring,
    /// They are moved by an octave, with so much of their line that it can still be sung
    Move,
}

/// `C2-C6`
pub(crate) fn parse(text: &str) -> Result<Compass, String> {
    let key = |text: &str| {
        let (letter, octave) = text.trim().split_at_checked(1)?;
        let step = Step::from_letter(letter.chars().next()?)?;
        let octave = octave.parse::<i8>().ok().filter(|octave| (0..=9).contains(octave))?;
        Some(pitch(step, octave))
    };
    let keys = text.split_once(['-', '–']).and_then(|(low, high)| Some((key(low)?, key(high)?)));
    keys.and_then(|(lowest, highest)| Compass::new(lowest, highest)).ok_or_else(|| {
        format!(
            "`{text}` is no compass: type its lowest and its highest key with their octaves, C2-C6"
        )
    })
}

fn pitch(step: Step, octave: i8) -> Pitch {
    Pitch::new(Tone::new(step, octave), 0)
}

/// The keys that there are, if anything is said of them: a short octave stands above C2 unless a compass
/// says otherwise.
pub(crate) fn keys(compass: Option<Compass>, short_octave: bool) -> Option<Compass> {
    if !short_octave {
        return compass;
    }
    let usual = || Compass::new(pitch(Step::C, 2), pitch(Step::G, 9));
    compass.or_else(usual).map(Compass::with_short_octave)
}

/// What was done with notes that an instrument has not.
#[derive(Default)]
pub(crate) struct Done {
    /// What was moved an octave up, and what an octave down.
    pub(crate) up: Vec<Run>,
    pub(crate) down: Vec<Run>,
    /// What is ringed.
    pub(crate) ringed: Vec<Run>,
}

impl Done {
    /// Deals with the notes of a score that an instrument has not, where it is played at an interval: moves
    /// them if that is wanted, under red brackets; rings the others.
    pub(crate) fn with(
        aligned: &mut Aligned<'_>,
        compass: &Compass,
        outside: Outside,
        at: Option<Interval>,
    ) -> Done {
        let score = &mut aligned.score;
        let mut done = Done::default();
        if outside == Outside::Move {
            for moved in score.move_within(compass, at) {
                let runs = if moved.octaves > 0 { &mut done.up } else { &mut done.down };
                runs.push(moved.run);
            }
        }
        done.ringed = score.beyond(compass, at);
        done
    }

    /// Draws on a score what was done: red brackets over what was moved, red rings round what was not.
    /// What is left blank has neither.
    pub(crate) fn draw(&mut self, aligned: &mut Aligned<'_>) {
        let score = &mut aligned.score;
        for runs in [&mut self.up, &mut self.down, &mut self.ringed] {
            runs.retain(|run| {
                let voice = &score.voices[run.voice];
                !run.events().all(|event| voice.is_blank(voice.events[event].onset))
            });
        }
        let mark = |run: &Run, shape| Mark {
            run: *run,
            shape,
            color: Some(MarkColor::Red),
            words: String::new(),
        };
        let moved = self.up.iter().chain(&self.down).map(|run| mark(run, MarkShape::Bracket));
        let ringed = self.ringed.iter().map(|run| mark(run, MarkShape::Circle));
        let marks: Vec<Mark> = moved.chain(ringed).collect();
        score.marks.extend(marks);
    }
}

/// Where runs are: `Tenor 3–7, 12; Bassus 4`.
pub(crate) fn places(runs: &[Run], aligned: &Aligned<'_>) -> String {
    let voices = &aligned.score.voices;
    let by_voice = runs.chunk_by(|one, next| one.voice == next.voice).map(|runs| {
        let voice = &voices[runs[0].voice];
        let number = |event: usize| voice.events[event].index.map(|index| index.to_string());
        let numbers = runs.iter().filter_map(|run| {
            let (first, last) = (number(run.first)?, number(run.last)?);
            Some(if first == last { first } else { format!("{first}–{last}") })
        });
        let numbers: Vec<String> = numbers.collect();
        format!("{} {}", voice.name, numbers.join(", ")).trim_end().to_owned()
    });
    by_voice.collect::<Vec<_>>().join("; ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_compass_is_typed_by_its_ends() {
        let compass = parse("C2-C6").unwrap();
        assert!(compass.has(pitch(Step::C, 2)) && compass.has(pitch(Step::C, 6)));
        assert!(!compass.has(pitch(Step::B, 1)) && !compass.has(pitch(Step::D, 6)));
        for text in ["", "C2", "C6-C2", "2-6", "H2-C6", "C2-C66"] {
            assert!(parse(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_short_octave_stands_where_the_compass_begins() {
        let sharp = |octave| Pitch::new(Tone::new(Step::F, octave), 1);
        let has = |compass, octave| keys(compass, true).unwrap().has(sharp(octave));
        assert!(!has(None, 2) && has(None, 3));
        assert!(!has(parse("C3-C6").ok(), 3));
        assert!(keys(None, false).is_none());
    }
}
