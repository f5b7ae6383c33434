//! In which order a score is played: sections that are repeated come twice, a passage as often as is
//! asked for.

use std::ops::Range;

use rudiments::Time;
use score::{Bar, Close};

/// Bars that are played one after another.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Stretch {
    /// Their places in the score.
    pub(super) bars: Range<usize>,
    /// Whether they are played for the first time, 1, or again.
    pub(super) pass: u32,
    /// How much later a moment of the score comes in the performance, in minims.
    pub(super) shift: Time,
}

/// The stretches of a performance, the first of which begins at a moment. A repeat goes back to the end
/// of the section before.
pub(super) fn stretches(bars: &[Bar], times: u32, repeats: bool, start: Time) -> Vec<Stretch> {
    let mut found: Vec<Stretch> = Vec::new();
    let mut now = start;
    let mut play = |bars_of_it: Range<usize>, pass: u32| {
        let (Some(first), Some(last)) = (bars.get(bars_of_it.start), bars.get(bars_of_it.end - 1))
        else {
            return;
        };
        found.push(Stretch { bars: bars_of_it, pass, shift: now - first.start });
        now += last.end - first.start;
    };
    for time in 0..times {
        let mut section = 0;
        for (place, bar) in bars.iter().enumerate() {
            let is_last = place + 1 == bars.len();
            let repeated = repeats && matches!(bar.close, Close::Repeat | Close::FinalRepeat);
            if !is_last && !repeated && bar.close != Close::Section {
                continue;
            }
            let passes = if repeated { 2 } else { 1 };
            for pass in 1..=passes {
                play(section..place + 1, time * passes + pass);
            }
            section = place + 1;
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use rudiments::Mensuration;

    use super::*;

    fn bars(closes: &[Close]) -> Vec<Bar> {
        let bar = |(place, close): (i64, &Close)| Bar {
            number: place as u32 + 1,
            start: Time::minims(4 * place),
            end: Time::minims(4 * place + 4),
            close: *close,
            mensuration: Mensuration::IMPERFECT,
        };
        (0..).zip(closes).map(bar).collect()
    }

    /// Each bar as it comes, with its pass and when it begins.
    fn played(closes: &[Close], times: u32, repeats: bool) -> Vec<String> {
        let bars = bars(closes);
        let stretches = stretches(&bars, times, repeats, Time::ZERO);
        let bar = |stretch: &Stretch, place: usize| {
            format!("{}.{}@{}", place + 1, stretch.pass, bars[place].start + stretch.shift)
        };
        let bars = stretches.iter().flat_map(|one| one.bars.clone().map(|place| bar(one, place)));
        bars.collect()
    }

    #[test]
    fn a_repeat_goes_back_to_the_section_before() {
        use Close::{Final, FinalRepeat, Plain, Repeat, Section};
        assert_eq!(played(&[Plain, Final], 1, true), ["1.1@0", "2.1@4"]);
        let repeated = ["1.1@0", "1.2@4", "2.1@8"];
        assert_eq!(played(&[Repeat, Final], 1, true), repeated);
        let second = ["1.1@0", "2.1@4", "3.1@8", "2.2@12", "3.2@16"];
        assert_eq!(played(&[Section, Plain, FinalRepeat], 1, true), second);
        assert_eq!(played(&[Repeat, Final], 1, false), ["1.1@0", "2.1@4"]);
    }

    #[test]
    fn a_passage_comes_as_often_as_is_asked_for() {
        use Close::{Plain, Repeat};
        assert_eq!(played(&[Plain, Plain], 2, true), ["1.1@0", "2.1@4", "1.2@8", "2.2@12"]);
        let twice = ["1.1@0", "1.2@4", "2.1@8", "1.3@12", "1.4@16", "2.2@20"];
        assert_eq!(played(&[Repeat, Plain], 2, true), twice);
        assert_eq!(played(&[], 2, true), [] as [&str; 0]);
    }
}
