//! The plan of a piece: who sounds when, where the subjects enter, where the cadences are.
//!
//! It knows neither how these were found nor how they are drawn.

use rudiments::Time;

use crate::timed::{Close, Score};

/// The plan of a piece. Times are in minims from its beginning.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Plan {
    /// The bars, without gaps, from the first.
    pub bars: Vec<PlannedBar>,
    /// Where it ends.
    pub length: Time,
    /// The voices, top voice first.
    pub voices: Vec<PlannedVoice>,
    /// The subjects, each with the pattern of its place among them.
    pub subjects: Vec<PlannedSubject>,
    /// The entries.
    pub entries: Vec<PlannedEntry>,
    /// The cadences, in order of time.
    pub cadences: Vec<PlannedCadence>,
    /// The sections, in order of time.
    pub sections: Vec<PlannedSection>,
}

/// A bar of a plan.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct PlannedBar {
    /// Its number, as in the score.
    pub number: u32,
    /// Where it begins.
    pub start: Time,
}

/// A voice of a plan.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PlannedVoice {
    /// Its name.
    pub name: String,
    /// From when to when it sounds, in order, with gaps between.
    pub sounds: Vec<(Time, Time)>,
}

/// A subject of a plan.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PlannedSubject {
    /// What it is called, like `S1`.
    pub name: String,
    /// Its notes in words, like `D A G F E D`; may be empty.
    pub notes: String,
}

/// An entry of a subject.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PlannedEntry {
    /// Its voice, as a place in [`Plan::voices`].
    pub voice: usize,
    /// When it begins.
    pub from: Time,
    /// When it is over.
    pub to: Time,
    /// Its subject, as a place in [`Plan::subjects`].
    pub subject: usize,
    /// Whether the subject stands upside down.
    pub inverted: bool,
    /// What stands at it, like `5th above, after 8`; may be empty.
    pub label: String,
}

/// A cadence.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PlannedCadence {
    /// When the goal is reached.
    pub at: Time,
    /// The letter of the goal, with its sign, like `B♭`.
    pub letter: String,
    /// Its kind, like `seventh`; may be empty.
    pub kind: String,
    /// Whether it is evaded.
    pub evaded: bool,
    /// Whether it is Phrygian.
    pub phrygian: bool,
}

/// A section.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PlannedSection {
    /// When it begins.
    pub from: Time,
    /// What it is called, like `duo 1`; may be empty.
    pub name: String,
}

impl Plan {
    /// The plan of a score without entries and cadences: its bars, its voices, and its sections,
    /// which have no names.
    pub fn of(score: &Score) -> Plan {
        let bars = score.bars.iter();
        let closed = score.bars.windows(2).filter(|pair| pair[0].close != Close::Plain);
        let begins = closed.map(|pair| pair[1].start);
        let section = |from| PlannedSection { from, name: String::new() };
        Plan {
            bars: bars.map(|bar| PlannedBar { number: bar.number, start: bar.start }).collect(),
            length: score.length,
            voices: score.voices.iter().map(voice).collect(),
            sections: begins.map(section).collect(),
            ..Plan::default()
        }
    }

    /// How many voices sound: from when on how many, in order of time, each number another than the
    /// one before. Linear, but for the sorting of what begins and ends.
    pub fn texture(&self) -> Vec<(Time, usize)> {
        let sounds = || self.voices.iter().flat_map(|voice| &voice.sounds);
        let mut edges: Vec<(Time, bool)> =
            sounds().flat_map(|(from, to)| [(*from, true), (*to, false)]).collect();
        edges.sort_unstable();
        let mut texture: Vec<(Time, usize)> = vec![(Time::ZERO, 0)];
        let mut now = 0;
        for moment in edges.chunk_by(|one, two| one.0 == two.0) {
            let begin = moment.iter().filter(|(_, begins)| *begins).count();
            now = (now + begin).saturating_sub(moment.len() - begin);
            match texture.as_mut_slice() {
                [.., last] if last.0 == moment[0].0 => last.1 = now,
                [.., last] if last.1 == now => {}
                _ => texture.push((moment[0].0, now)),
            }
        }
        texture
    }
}

/// A voice, with rests of less than a semibreve passed over: they part words, not sections.
fn voice(timed: &crate::TimedVoice) -> PlannedVoice {
    let least = rudiments::Value::Semibreve.plain();
    let mut sounds: Vec<(Time, Time)> = Vec::new();
    let sounding = timed.events.iter().filter(|event| !event.is_rest());
    for event in sounding.filter(|event| event.length.is_positive()) {
        match sounds.last_mut() {
            Some(last) if event.onset - last.1 < least => last.1 = event.end(),
            _ => sounds.push((event.onset, event.end())),
        }
    }
    PlannedVoice { name: timed.name.clone(), sounds }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arrange::testing::score;

    fn spans(plan: &Plan, voice: usize) -> Vec<(String, String)> {
        let sounds = plan.voices[voice].sounds.iter();
        sounds.map(|(from, to)| (from.to_string(), to.to_string())).collect()
    }

    #[test]
    fn a_voice_sounds_between_its_rests() {
        let plan = Plan::of(&score(4, &["D5:4 _:1 E5:3 _:4 F5:4", "_:8 D4:8"]));
        let pairs = |all: &[(&str, &str)]| -> Vec<(String, String)> {
            all.iter().map(|(from, to)| ((*from).to_owned(), (*to).to_owned())).collect()
        };
        assert_eq!(spans(&plan, 0), pairs(&[("0", "8"), ("12", "16")]));
        assert_eq!(spans(&plan, 1), pairs(&[("8", "16")]));
        assert_eq!(plan.bars.iter().map(|bar| bar.number).collect::<Vec<_>>(), [1, 2, 3, 4]);
    }

    #[test]
    fn the_texture_counts_voices() {
        let plan = Plan::of(&score(4, &["D5:4 _:4 E5:8", "_:8 D4:8", "_:4 D3:4 _:4 D3:4"]));
        let texture = plan.texture().into_iter();
        let said: Vec<(String, usize)> =
            texture.map(|(at, count)| (at.to_string(), count)).collect();
        let expected = [("0", 1), ("8", 2), ("12", 3), ("16", 0)];
        assert_eq!(said, expected.map(|(at, count)| (at.to_owned(), count)));
    }

    #[test]
    fn sections_begin_after_double_bars() {
        let mut score = score(4, &["D5:4 E5 F5"]);
        score.bars[1].close = Close::Section;
        let plan = Plan::of(&score);
        assert_eq!(plan.sections.len(), 1);
        assert_eq!(plan.sections[0].from, Time::minims(8));
    }
}
