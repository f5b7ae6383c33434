//! Bars: their meters, and where repeats begin.
//!
//! The meter counts minims: a breve bar has 4/2 at original values, 4/4 at halved, 4/8 at
//! quartered ones; a semibreve bar 2/2. A perfect breve has 3/1, its three semibreves; where the
//! semibreve is perfect, its minims go in threes: 6/2, 9/2, and 3/2 for a semibreve bar. Where the top voice begins under `C` or `C|`, that sign is
//! shown instead of the figures. A bar that is cut short by the end of a section has a meter of
//! its own, which is not shown: modern editions let the double bar explain it, yet a file must
//! say how long the bar is. Bars are numbered on without a gap.
//!
//! Where all voices count in a proportion, the meter counts the minims as they are written then:
//! three in the time of two make of a breve bar one of 6/2, of a semibreve bar one of 3/2. It is
//! shown where the passage begins, and the plain one where it is over. Where the notes go in threes
//! of semibreves, the bar is one of 3/1, and no shorter. In a proportion of two and more in the time of one, values are halved as in a tuplet, so that three
//! in the time of one have 6/2 too.

use rudiments::{Sign, Time, Value};

use super::tuplets::Ratio;
use super::{ArrangedBar, NoteValue, Reduction};
use crate::passages::Passage;
use crate::{Bar, Change, Close, Score, TimedVoice};

/// A modern time signature.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Meter {
    /// So many beats,
    pub beats: u32,
    /// of this value each.
    pub beat: NoteValue,
    /// In a proportion, the beats of plain counting that last as long: four halves where six halves
    /// are written in their time.
    pub plain: Option<(u32, NoteValue)>,
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
        Some(Meter { beats, beat, plain: None, symbol: None, shown: true })
    }

    /// The same bar in beats of twice the value, if it has an even number of them.
    fn in_longer_beats(self) -> Meter {
        match NoteValue::of_power(self.beat.power() + 1).filter(|_| self.beats.is_multiple_of(2)) {
            Some(beat) => Meter { beats: self.beats / 2, beat, ..self },
            None => self,
        }
    }
}

/// The proportion of a bar that stands in a passage.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct InPassage {
    /// When the passage begins.
    start: Time,
    pub(super) ratio: Ratio,
    /// The length of a group of that ratio; see [`Ratio::of_proportion`].
    pub(super) group: Time,
    /// Whether it goes in threes of semibreves.
    of_semibreves: bool,
}

/// For every bar, the proportion in which all of it stands.
pub(super) fn proportions(score: &Score, passages: &[Passage]) -> Vec<Option<InPassage>> {
    let mut next = passages.iter().peekable();
    let of_bar = |bar: &Bar| {
        while next.next_if(|passage| passage.end <= bar.start).is_some() {}
        let passage = next.peek().filter(|passage| passage.has_bar(bar.start, bar.end))?;
        let (ratio, group) = Ratio::of_proportion(passage.proportion)?;
        let Passage { start, of_semibreves, .. } = **passage;
        Some(InPassage { start, ratio, group, of_semibreves })
    };
    score.bars.iter().map(of_bar).collect()
}

/// The bars of a score with their meters, and still without notes.
pub(super) fn empty(
    score: &Score,
    reduction: Reduction,
    proportions: &[Option<InPassage>],
) -> Vec<ArrangedBar<'static>> {
    let mut signs = Signs::of(score.voices.first());
    let mut current: Option<(Meter, Option<Time>)> = None;
    let mut bars: Vec<ArrangedBar> = score
        .bars
        .iter()
        .zip(proportions)
        .map(|(bar, proportion)| {
            let length = bar.end - bar.start;
            let sign = signs.at(bar.start);
            let passage = proportion.map(|proportion| proportion.start);
            let shown = current.is_none_or(|(_, before)| before != passage);
            let meter = match proportion {
                None => Meter::of(length, reduction).map(|meter| {
                    let semibreves = length == bar.mensuration.full(Value::Breve)
                        && !bar.mensuration.is_perfect(Value::Semibreve)
                        && bar.mensuration.is_perfect(Value::Breve);
                    if semibreves { meter.in_longer_beats() } else { meter }
                }),
                Some(proportion) => {
                    let written = proportion.ratio.written(length);
                    let meter = written.and_then(|length| Meter::of(length, reduction));
                    let plain = Meter::of(length, reduction).map(|plain| (plain.beats, plain.beat));
                    let meter = meter.map(|meter| Meter { plain, ..meter });
                    if proportion.of_semibreves { meter.map(Meter::in_longer_beats) } else { meter }
                }
            };
            let plain = length == score.bar && bar.mensuration.is_imperfect();
            let symbol = sign.filter(|_| plain && passage.is_none());
            let meter = meter.map(|meter| Meter { symbol, shown, ..meter });
            let changed = meter
                .filter(|meter| shown || current.is_none_or(|(now, _)| !same_beats(now, *meter)));
            current = changed.map(|meter| (meter, passage)).or(current);
            ArrangedBar {
                meter: changed,
                repeat_begins: false,
                voices: vec![Vec::new(); score.voices.len()],
                rests: Vec::new(),
                words: Vec::new(),
            }
        })
        .collect();
    for first in repeated_sections(&score.bars) {
        bars[first].repeat_begins = true;
    }
    bars
}

/// The signs of the top voice that stand for a meter, in order of time.
struct Signs<'s> {
    now: Option<MeterSymbol>,
    changes: std::slice::Iter<'s, (Time, Change)>,
    next: Option<(Time, Sign)>,
}

impl<'s> Signs<'s> {
    fn of(voice: Option<&'s TimedVoice>) -> Signs<'s> {
        let changes = voice.map_or([].iter(), |voice| voice.changes.iter());
        let now = voice.and_then(|voice| voice.sign).and_then(symbol);
        Signs { now, changes, next: None }
    }

    /// The sign in force at a moment not before the last.
    fn at(&mut self, moment: Time) -> Option<MeterSymbol> {
        loop {
            self.next = self.next.or_else(|| {
                self.changes.find_map(|(at, change)| match change {
                    Change::Sign(sign) => Some((*at, *sign)),
                    _ => None,
                })
            });
            match self.next {
                Some((at, sign)) if at <= moment => (self.now, self.next) = (symbol(sign), None),
                _ => return self.now,
            }
        }
    }
}

fn symbol(sign: Sign) -> Option<MeterSymbol> {
    match sign {
        Sign::IMPERFECT => Some(MeterSymbol::Common),
        Sign::CUT => Some(MeterSymbol::Cut),
        _ => None,
    }
}

fn same_beats(one: Meter, other: Meter) -> bool {
    (one.beats, one.beat, one.plain) == (other.beats, other.beat, other.plain)
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
    use rudiments::Mensuration;

    use super::*;

    fn bars_of(score: &Score, reduction: Reduction) -> Vec<ArrangedBar<'static>> {
        let passages = crate::passages::find(&score.voices, score.bar);
        empty(score, reduction, &proportions(score, &passages))
    }

    fn meters(reduction: Reduction, ends: &[i64], bar: i64) -> Vec<String> {
        let mut score = score(bar, &[&format!("C4:{}", ends[ends.len() - 1])]);
        score.bars.clear();
        for end in ends {
            let start = score.bars.last().map_or(Time::ZERO, |bar: &Bar| bar.end);
            let number = score.bars.len() as u32 + 1;
            let bar = Bar {
                number,
                start,
                end: Time::minims(*end),
                close: Close::Plain,
                mensuration: Mensuration::IMPERFECT,
            };
            score.bars.push(bar);
        }
        let say = |meter: Meter| {
            let hidden = if meter.shown { "" } else { " hidden" };
            format!("{}/{}{hidden}", meter.beats, 1 << -meter.beat.power())
        };
        bars_of(&score, reduction)
            .iter()
            .map(|bar| bar.meter.map_or_else(String::new, say))
            .collect()
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
        let bars = bars_of(&score, Reduction::Original);
        assert_eq!(bars[0].meter.unwrap().symbol, Some(MeterSymbol::Cut));
    }

    /// The meters of a score, with the beats that last as long.
    fn meters_of(bar: i64, voices: &[&str]) -> Vec<String> {
        let say = |meter: Meter| {
            let figures =
                |(beats, beat): (u32, NoteValue)| format!("{beats}/{}", 1 << -beat.power());
            let plain =
                meter.plain.map_or_else(String::new, |plain| "=".to_owned() + &figures(plain));
            let hidden = if meter.shown { "" } else { " hidden" };
            format!("{}{plain}{hidden}", figures((meter.beats, meter.beat)))
        };
        let bars = bars_of(&score(bar, voices), Reduction::Original);
        bars.iter().map(|bar| bar.meter.map_or_else(String::new, say)).collect()
    }

    #[test]
    fn a_common_proportion_has_a_meter_of_its_own() {
        let voices = ["C5:4 x3:2 D5:4 E5:4 x F5:8", "C4:4 x3:2 D4:8 x E4:8"];
        assert_eq!(meters_of(4, &voices), ["4/2", "6/2=4/2", "", "4/2", ""]);
        assert_eq!(meters_of(2, &voices)[1..4], ["", "3/2=2/2", ""]);
    }

    #[test]
    fn threes_of_semibreves_have_a_meter_of_semibreves() {
        let voices = ["x3:2 D5:4/3 E5:4/3 F5:4/3 x F5:4", "x3:2 D4:8/3 E4:4/3 x E4:4"];
        assert_eq!(meters_of(4, &voices), ["3/1=4/2", "4/2"]);
    }

    #[test]
    fn three_in_the_time_of_one_are_halved() {
        assert_eq!(meters_of(4, &["C4:4 x3:1 D4:1/3 E4:11/3"]), ["4/2", "6/2=4/2"]);
    }

    #[test]
    fn a_proportion_of_some_voices_changes_no_meter() {
        assert_eq!(meters_of(4, &["C5:4 x3:2 D5:4", "C4:8"]), ["4/2", ""]);
    }

    #[test]
    fn after_a_passage_the_sign_of_the_moment_is_shown() {
        let mut score = score(4, &["x3:2 C5:4 x D5:4"]);
        score.voices[0].sign = Some(Sign::CUT);
        score.voices[0].changes.push((Time::minims(4), Change::Sign(Sign::IMPERFECT)));
        let bars = bars_of(&score, Reduction::Original);
        let symbols = bars.iter().map(|bar| bar.meter.unwrap().symbol).collect::<Vec<_>>();
        assert_eq!(symbols, [None, Some(MeterSymbol::Common)]);
    }

    #[test]
    fn a_repeat_goes_back_to_the_section() {
        let close = |text: &str| -> Vec<Bar> {
            let close = |letter| match letter {
                '|' => Close::Section,
                ':' => Close::Repeat,
                _ => Close::Plain,
            };
            let bar = |close| Bar {
                number: 1,
                start: Time::ZERO,
                end: Time::ZERO,
                close,
                mensuration: Mensuration::IMPERFECT,
            };
            text.chars().map(|letter| bar(close(letter))).collect()
        };
        let firsts = |text: &str| repeated_sections(&close(text)).collect::<Vec<_>>();
        assert_eq!(firsts("..:..:"), [3]);
        assert_eq!(firsts("..|..:"), [3]);
        assert_eq!(firsts("..:..."), []);
    }
}
