//! Bars: their meters, and where repeats begin.
//!
//! The meter counts minims: a breve bar has 4/2 at original values, 4/4 at halved, 4/8 at
//! quartered ones; a semibreve bar 2/2. Where the top voice begins under `C` or `C|`, that sign is
//! shown instead of the figures. A bar that is cut short by the end of a section has a meter of
//! its own, which is not shown: modern editions let the double bar explain it, yet a file must
//! say how long the bar is. Bars are numbered on without a gap.

use rudiments::{Sign, Time};

use super::{ArrangedBar, NoteValue, Reduction};
use crate::{Bar, Close, Score};

/// A modern time signature.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Meter {
    /// So many beats,
    pub beats: u32,
    /// of this value each.
    pub beat: NoteValue,
    /// The sign that is shown instead of the figures.
    pub symbol: Option<MeterSymbol>,
    /// Whether it is shown at all.
    pub shown: bool,
}

/// A sign that stands for a meter.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum MeterSymbol {
    /// The half circle, `C`.
    Common,
    /// The half circle with a stroke, `C|`.
    Cut,
}

impl Meter {
    /// The meter of a bar of that length, in the largest beat not over a minim; nothing where
    /// no beat of a modern value measures the bar.
    fn of(length: Time, reduction: Reduction) -> Option<Meter> {
        let minim = reduction.minim();
        let parts = length.denominator();
        if !length.is_positive() || !(parts as u64).is_power_of_two() {
            return None;
        }
        let beat = NoteValue::of_power(minim.power() - parts.trailing_zeros() as i32)?;
        let beats = u32::try_from(length.numerator()).ok()?;
        Some(Meter { beats, beat, symbol: None, shown: true })
    }
}

/// The bars of a score with their meters, and still without notes.
pub(super) fn empty(score: &Score, reduction: Reduction) -> Vec<ArrangedBar<'static>> {
    let symbol = score.voices.first().and_then(|voice| match voice.sign {
        Some(Sign::IMPERFECT) => Some(MeterSymbol::Common),
        Some(Sign::CUT) => Some(MeterSymbol::Cut),
        _ => None,
    });
    let mut current: Option<Meter> = None;
    let mut bars: Vec<ArrangedBar> = score
        .bars
        .iter()
        .map(|bar| {
            let meter = Meter::of(bar.end - bar.start, reduction).map(|meter| Meter {
                symbol: symbol.filter(|_| bar.end - bar.start == score.bar),
                shown: current.is_none(),
                ..meter
            });
            let changed = meter.filter(|meter| current.is_none_or(|now| !same_beats(now, *meter)));
            current = changed.or(current);
            ArrangedBar {
                meter: changed,
                repeat_begins: false,
                voices: vec![Vec::new(); score.voices.len()],
                words: Vec::new(),
            }
        })
        .collect();
    for first in repeated_sections(&score.bars) {
        bars[first].repeat_begins = true;
    }
    bars
}

fn same_beats(one: Meter, other: Meter) -> bool {
    (one.beats, one.beat) == (other.beats, other.beat)
}

/// The first bars of repeated sections, except that of the piece, which needs no mark.
fn repeated_sections(bars: &[Bar]) -> impl Iterator<Item = usize> {
    let mut first = 0;
    bars.iter().enumerate().filter_map(move |(place, bar)| {
        let began = first;
        if bar.close != Close::Plain {
            first = place + 1;
        }
        let repeated = matches!(bar.close, Close::Repeat | Close::FinalRepeat);
        (repeated && began > 0).then_some(began)
    })
}

#[cfg(test)]
mod tests {
    use super::super::testing::score;
    use super::*;

    fn meters(reduction: Reduction, ends: &[i64], bar: i64) -> Vec<String> {
        let mut score = score(bar, &[&format!("C4:{}", ends[ends.len() - 1])]);
        score.bars.clear();
        for end in ends {
            let start = score.bars.last().map_or(Time::ZERO, |bar: &Bar| bar.end);
            let number = score.bars.len() as u32 + 1;
            let bar = Bar { number, start, end: Time::minims(*end), close: Close::Plain };
            score.bars.push(bar);
        }
        let say = |meter: Meter| {
            let hidden = if meter.shown { "" } else { " hidden" };
            format!("{}/{}{hidden}", meter.beats, 1 << -meter.beat.power())
        };
        empty(&score, reduction).iter().map(|bar| bar.meter.map_or_else(String::new, say)).collect()
    }

    #[test]
    fn a_bar_counts_minims() {
        assert_eq!(meters(Reduction::Original, &[4, 8], 4), ["4/2", ""]);
        assert_eq!(meters(Reduction::Halved, &[4], 4), ["4/4"]);
        assert_eq!(meters(Reduction::Quartered, &[4], 4), ["4/8"]);
        assert_eq!(meters(Reduction::Original, &[2], 2), ["2/2"]);
        assert_eq!(meters(Reduction::Original, &[3], 3), ["3/2"]);
    }

    #[test]
    fn a_short_bar_has_a_hidden_meter() {
        assert_eq!(
            meters(Reduction::Original, &[4, 6, 10, 14], 4),
            ["4/2", "2/2 hidden", "4/2 hidden", ""]
        );
    }

    #[test]
    fn half_a_minim_is_counted_in_smaller_beats() {
        let meter = Meter::of(Time::new(5, 2), Reduction::Original).unwrap();
        assert_eq!((meter.beats, meter.beat), (5, NoteValue::QUARTER));
        assert_eq!(Meter::of(Time::new(5, 3), Reduction::Original), None);
    }

    #[test]
    fn the_sign_of_the_top_voice_is_shown() {
        let mut score = score(4, &["C5:4", "C4:4"]);
        score.voices[0].sign = Some(Sign::CUT);
        let bars = empty(&score, Reduction::Original);
        assert_eq!(bars[0].meter.unwrap().symbol, Some(MeterSymbol::Cut));
    }

    #[test]
    fn a_repeat_goes_back_to_the_section() {
        let close = |text: &str| -> Vec<Bar> {
            let close = |letter| match letter {
                '|' => Close::Section,
                ':' => Close::Repeat,
                _ => Close::Plain,
            };
            let bar = |close| Bar { number: 1, start: Time::ZERO, end: Time::ZERO, close };
            text.chars().map(|letter| bar(close(letter))).collect()
        };
        let firsts = |text: &str| repeated_sections(&close(text)).collect::<Vec<_>>();
        assert_eq!(firsts("..:..:"), [3]);
        assert_eq!(firsts("..|..:"), [3]);
        assert_eq!(firsts("..:..."), []);
    }
}
