//! Passages that all voices count in a proportion, entering and leaving it together.
//!
//! Such a passage is no matter of tuplets: it has bars and a meter of its own. Bars begin anew
//! where one begins or ends ([`crate::align()`]), and its notes are written plainly
//! ([`crate::arrange()`]).
//!
//! A passage is at least a bar long. A voice that only rests goes along with the others. Black
//! notes, and groups that a figure marks, make no passage: they stand inside the meter in force.
//! Nor does a proportion that halves of halves can write, as 2:1.

use rudiments::{Proportion, Time, Value};

use crate::rule::Rule;
use crate::timed::{Bar, Score, TimedEvent, TimedVoice};

/// A passage in a proportion.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Passage {
    pub(crate) start: Time,
    pub(crate) end: Time,
    pub(crate) proportion: Proportion,
    /// Whether it goes in threes of semibreves rather than of minims.
    pub(crate) of_semibreves: bool,
}

impl Passage {
    /// The length of its bars, where others are so long: threes of semibreves are not divided.
    pub(crate) fn bar(self, usual: Time) -> Time {
        if self.of_semibreves { usual.max(Value::Breve.plain()) } else { usual }
    }

    /// Whether so much of the passage is written in halves of halves.
    fn writes(self, length: Time) -> bool {
        let above = length.numerator().checked_mul(self.proportion.many() as i64);
        let below = length.denominator().checked_mul(self.proportion.in_time_of() as i64);
        above.zip(below).is_some_and(|(above, below)| {
            (Time::new(above, below).denominator() as u64).is_power_of_two()
        })
    }

    /// Whether a bar from one moment to another is one of the passage.
    pub(crate) fn has_bar(self, start: Time, end: Time) -> bool {
        let inside = self.start <= start && end <= self.end;
        inside && self.writes(start - self.start) && self.writes(end - self.start)
    }
}

/// The passages of a score with bars of that length, in order of time.
pub(crate) fn find(voices: &[TimedVoice], bar: Time) -> Vec<Passage> {
    let mut found: Vec<Passage> = voices.iter().flat_map(|voice| runs(voice, bar)).collect();
    // A proportion as a number, so that equal ones stand together.
    let number = |proportion: Proportion| Time::minims(1) * proportion;
    found.sort_unstable_by_key(|one| (one.start, one.end, number(one.proportion)));
    found.dedup();
    found.retain(|passage| voices.iter().all(|voice| goes_along(voice, *passage)));
    for passage in &mut found {
        passage.of_semibreves = of_semibreves(voices, *passage);
    }
    found
}

impl Score {
    /// What is counted in a bar: the minim, or, in a passage that all voices count in a proportion, its
    /// minim there; where it goes in threes of semibreves, its semibreve.
    pub fn beat(&self, bar: &Bar) -> Time {
        let passages = find(&self.voices, self.bar);
        let Some(passage) = passages.iter().find(|one| one.has_bar(bar.start, bar.end)) else {
            return Value::Minim.plain();
        };
        let value = if passage.of_semibreves { Value::Semibreve } else { Value::Minim };
        value.plain() * passage.proportion
    }
}

/// Whether a passage of three in the time of two goes in threes of semibreves: more notes begin
/// with the second or third semibreve of six minims than with the fourth minim, which begins the
/// second of two threes of minims.
fn of_semibreves(voices: &[TimedVoice], passage: Passage) -> bool {
    if passage.proportion != Proportion::SESQUIALTERA {
        return false;
    }
    let mut begin = [0_usize; 6];
    for voice in voices {
        let first = voice.events.partition_point(|event| event.onset < passage.start);
        let inside = voice.events[first..].iter().take_while(|event| event.onset < passage.end);
        for event in inside.filter(|event| !event.is_rest()) {
            // In minims as they are written.
            let at = (event.onset - passage.start) * 3 / 2;
            if let Some(at) = at.within(Time::minims(6)).exactly(Time::minims(1)) {
                begin[at as usize] += 1;
            }
        }
    }
    begin[2].max(begin[4]) > begin[3]
}

/// The proportion in which an event is written, if it is one that needs more than halves and does
/// not come from its colour.
fn proportion(event: &TimedEvent) -> Option<Proportion> {
    if is_black(event) || event.proportion.is_equal() {
        return None;
    }
    let (many, in_time_of) = (event.proportion.many(), event.proportion.in_time_of());
    let lowest = Time::new(many as i64, in_time_of as i64).numerator() as u64;
    (!lowest.is_power_of_two()).then_some(event.proportion)
}

/// Whether an event has a proportion of its own from its colour, or from the figure of its group.
pub(crate) fn is_black(event: &TimedEvent) -> bool {
    use Rule::{ColoredThirds, ColoredThreeForOne, Figure, MinorColor};
    matches!(event.rule, ColoredThirds | ColoredThreeForOne | MinorColor | Figure)
}

/// Whether an event says nothing of the proportion.
fn is_neutral(event: &TimedEvent) -> bool {
    matches!(event.rule, Rule::Silence | Rule::Editor)
}

/// The stretches of at least a bar that a voice counts in one proportion.
fn runs(voice: &TimedVoice, bar: Time) -> Vec<Passage> {
    let mut runs = Vec::new();
    let mut run: Option<Passage> = None;
    for event in &voice.events {
        if let Some(now) = &mut run
            && (is_neutral(event) || proportion(event) == Some(now.proportion))
        {
            now.end = event.end();
            continue;
        }
        runs.extend(run.take());
        run = proportion(event).map(|proportion| Passage {
            start: event.onset,
            end: event.end(),
            proportion,
            of_semibreves: false,
        });
    }
    runs.extend(run);
    runs.retain(|run| run.end - run.start >= bar);
    runs
}

/// Whether a voice counts just this passage in its proportion, or rests, and can be written in it.
fn goes_along(voice: &TimedVoice, passage: Passage) -> bool {
    let events = &voice.events;
    let first = events.partition_point(|event| event.end() <= passage.start);
    let after = events.partition_point(|event| event.onset < passage.end);
    let inside = &events[first.min(after)..after];
    let same = |event: Option<&TimedEvent>| {
        event.is_some_and(|event| proportion(event) == Some(passage.proportion))
    };
    let rests = inside.iter().all(TimedEvent::is_rest);
    let together = inside.iter().all(|event| is_neutral(event) || same(Some(event)))
        && inside.first().is_none_or(|event| event.onset == passage.start)
        && inside.last().is_none_or(|event| event.end() == passage.end)
        && !same(first.checked_sub(1).and_then(|before| events.get(before)))
        && !same(events.get(after));
    let written = |event: &TimedEvent| {
        let (from, to) = (event.onset.max(passage.start), event.end().min(passage.end));
        passage.writes(from - passage.start) && passage.writes(to - passage.start)
    };
    (rests || together) && inside.iter().all(written)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arrange::testing::score;

    fn passages(voices: &[&str]) -> Vec<String> {
        let score = score(4, voices);
        let say =
            |passage: Passage| format!("{}-{} {}", passage.start, passage.end, passage.proportion);
        find(&score.voices, score.bar).into_iter().map(say).collect()
    }

    #[test]
    fn all_voices_change_together() {
        let found = passages(&["C5:2 x3:2 D5:2/3 E5:4/3 F5:2 x G5:2", "C4:2 x3:2 D4:4 x E4:2"]);
        assert_eq!(found, ["2-6 3:2"]);
    }

    #[test]
    fn a_bar_is_counted_as_it_goes() {
        let score = score(4, &["x3:2 C5:4/3 D5:4/3 E5:4/3 x C5:4", "x3:2 C4:8/3 D4:4/3 x C4:4"]);
        let beats: Vec<String> = score.bars.iter().map(|bar| score.beat(bar).to_string()).collect();
        assert_eq!(beats, ["4/3", "1"]);
    }

    #[test]
    fn threes_of_semibreves_or_of_minims() {
        let of = |voices: &[&str]| {
            let score = score(4, voices);
            find(&score.voices, score.bar)
                .into_iter()
                .map(|one| one.of_semibreves)
                .collect::<Vec<_>>()
        };
        assert_eq!(of(&["x3:2 C5:4/3 D5:4/3 E5:4/3", "x3:2 C4:8/3 D4:4/3"]), [true]);
        assert_eq!(of(&["x3:2 C5:2 D5:4/3 E5:2/3", "x3:2 C4:2 D4:2"]), [false]);
        // Six minims say nothing; where nothing is said, they are threes of minims.
        assert_eq!(of(&["x3:2 C5:2/3 D5 E5 F5 G5 A5"]), [false]);
    }

    #[test]
    fn one_voice_that_stays_makes_tuplets() {
        assert_eq!(passages(&["x3:2 D5:4/3 E5:8/3 x F5:4", "D4:8"]), [] as [&str; 0]);
    }

    #[test]
    fn a_voice_that_enters_later_makes_tuplets() {
        let found = passages(&["x3:2 D5:4/3 E5:20/3", "D4:2 x3:2 D4:2 E4:4"]);
        assert_eq!(found, [] as [&str; 0]);
    }

    #[test]
    fn a_voice_that_rests_goes_along() {
        let voices = ["C5:4 x3:2 D5:4/3 E5:8/3 x F5:4", "C4:4 _:8"];
        assert_eq!(passages(&voices), ["4-8 3:2"]);
    }

    #[test]
    fn less_than_a_bar_is_no_passage() {
        assert_eq!(passages(&["C5:2 x3:2 D5:2/3 E5 F5 x G5:4"]), [] as [&str; 0]);
    }

    #[test]
    fn dupla_is_written_in_halves() {
        assert_eq!(passages(&["x2:1 C5:1/2 D5:1/2 E5:3", "x4:2 C4:4"]), [] as [&str; 0]);
    }

    #[test]
    fn a_length_beyond_the_proportion_makes_tuplets() {
        assert_eq!(passages(&["x3:2 C5:4/3 D5:8/3", "x3:2 C4:5/7 D4:23/7"]), [] as [&str; 0]);
    }

    #[test]
    fn black_notes_make_tuplets() {
        let mut score = score(4, &["x3:2 C5:4/3 D5:4/3 E5:4/3"]);
        assert_eq!(find(&score.voices, score.bar).len(), 1);
        for event in &mut score.voices[0].events {
            event.rule = Rule::ColoredThirds;
        }
        assert_eq!(find(&score.voices, score.bar), []);
    }
}
