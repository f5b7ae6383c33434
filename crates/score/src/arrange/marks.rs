//! What stands over the notes: words, and signs of mensuration and proportion.

use std::borrow::Cow;
use std::collections::{HashMap, HashSet};

use rudiments::{Proportion, Sign, Time};

use super::tuplets::Ratio;
use super::{ArrangedBar, Staves, Words};
use crate::passages::{Passage, is_black};
use crate::{Change, Score, TimedVoice};

/// Puts words, and signs of mensuration and proportion, into their bars.
///
/// A sign says what its proportion means. What several voices of one staff say at one moment is
/// said once, over the highest. Two things are said once for all staves: words that several voices
/// of a keyboard score have, and a sign at which all voices enter or leave a proportion. Where
/// they enter one without a sign, its meaning stands alone, unless words say it already, as they do
/// in a score that was written and read again.
pub(super) fn words<'s>(
    score: &'s Score,
    passages: &[Passage],
    staves: Staves,
    bars: &mut [ArrangedBar<'s>],
) {
    let edges: HashSet<Time> = passages.iter().flat_map(|one| [one.start, one.end]).collect();
    let signed: HashSet<Time> = score
        .voices
        .iter()
        .flat_map(signs)
        .map(|(at, _)| at)
        .filter(|at| edges.contains(at))
        .collect();
    let spoken = Spoken::new(score, &edges);
    let mut said: HashSet<(Option<usize>, Time, Cow<'s, str>)> = HashSet::new();
    for (voice, timed) in score.voices.iter().enumerate() {
        let printed = timed.changes.iter().filter_map(|(at, change)| match change {
            Change::Words(words) => Some((*at, Cow::from(words.as_str()), false)),
            _ => None,
        });
        let shown = signs(timed).filter(|(at, sign)| at.is_positive() || !sign.is_plain());
        let of_semibreves = |at: Time| {
            let place = passages.partition_point(|one| one.end <= at);
            passages.get(place).is_some_and(|one| one.of_semibreves && one.start <= at)
        };
        let shown = shown
            .map(|(at, sign)| (at, Cow::from(explained(timed, at, sign, of_semibreves(at))), true));
        let unsigned = passages.iter().filter(|one| voice == 0 && !signed.contains(&one.start));
        let unsigned = unsigned
            .map(|one| (one.start, Cow::from(meaning(one.proportion, one.of_semibreves)), true));
        let unsigned = unsigned.filter(|(at, meaning, _)| !spoken.says(*at, meaning));
        let mut all: Vec<(Time, Cow<'s, str>, bool)> =
            printed.chain(shown).chain(unsigned).collect();
        all.sort_by_key(|(at, ..)| *at);
        let mut bar = 0;
        for (at, text, is_sign) in all {
            while score.bars.get(bar + 1).is_some_and(|next| next.start <= at) {
                bar += 1;
            }
            let Some(arranged) = bars.get_mut(bar) else { continue };
            let segments = &arranged.voices[voice];
            let there = segments.partition_point(|segment| segment.end() <= at);
            let segment = segments.get(there).or(segments.last());
            let staff = segment.map_or(voice, |segment| segment.staff);
            let for_all = if is_sign { edges.contains(&at) } else { staves == Staves::Keyboard };
            if said.insert(((!for_all).then_some(staff), at, text.clone())) {
                arranged.words.push(Words { voice, at, text });
            }
        }
    }
}

/// The words of all voices at some moments.
struct Spoken<'s>(HashMap<Time, Vec<&'s str>>);

impl<'s> Spoken<'s> {
    fn new(score: &'s Score, moments: &HashSet<Time>) -> Spoken<'s> {
        let mut spoken: HashMap<Time, Vec<&str>> = HashMap::new();
        for (at, change) in score.voices.iter().flat_map(|voice| &voice.changes) {
            if let Change::Words(words) = change
                && moments.contains(at)
            {
                spoken.entry(*at).or_default().push(words);
            }
        }
        Spoken(spoken)
    }

    /// Whether words at a moment end with this.
    fn says(&self, at: Time, meaning: &str) -> bool {
        self.0.get(&at).is_some_and(|all| all.iter().any(|words| words.ends_with(meaning)))
    }
}

/// The signs of a voice, from its beginning on.
fn signs(voice: &TimedVoice) -> impl Iterator<Item = (Time, Sign)> {
    let beginning = voice.sign.map(|sign| (Time::ZERO, sign));
    beginning.into_iter().chain(voice.changes.iter().filter_map(|(at, change)| match change {
        Change::Sign(sign) => Some((*at, *sign)),
        _ => None,
    }))
}

/// A sign, and what it means for the notes after it, unless these are black notes, which have a
/// proportion of their own: `3/2: three minims in the time of two`.
fn explained(voice: &TimedVoice, at: Time, sign: Sign, of_semibreves: bool) -> String {
    let event = voice.events.get(voice.events.partition_point(|event| event.onset < at));
    let counted = event.filter(|event| !event.proportion.is_equal() && !is_black(event));
    match counted {
        Some(event) => format!("{sign}: {}", meaning(event.proportion, of_semibreves)),
        None => sign.to_string(),
    }
}

/// `three minims in the time of two`, or semibreves. The minims are those of the source; where they are written
/// as other values, it says so.
fn meaning(proportion: Proportion, of_semibreves: bool) -> String {
    let (many, in_time_of) = (proportion.many(), proportion.in_time_of());
    let value = match (of_semibreves, many) {
        (true, _) => "semibreves",
        (false, 1) => "minim",
        (false, _) => "minims",
    };
    let text = format!("{} {value} in the time of {}", number(many), number(in_time_of));
    let (written, of) = Ratio::of_proportion(proportion)
        .map_or((1, 1), |(ratio, _)| (ratio.many as i64, ratio.in_time_of as i64));
    let factor = Time::new(written * in_time_of as i64, of * many as i64);
    match (factor.numerator(), factor.denominator()) {
        (1, 2) => text + ", in halved values",
        (1, 4) => text + ", in quartered values",
        (2, 1) => text + ", in doubled values",
        _ => text,
    }
}

fn number(number: u32) -> Cow<'static, str> {
    let words = [
        "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
        "twelve",
    ];
    let word = (number as usize).checked_sub(1).and_then(|place| words.get(place));
    word.map_or_else(|| number.to_string().into(), |word| (*word).into())
}

#[cfg(test)]
mod tests {
    use super::super::testing::score;
    use super::super::{Options, arrange};
    use super::*;

    #[test]
    fn words_that_several_voices_have_stand_once_in_a_keyboard_score() {
        let mut score = score(4, &["C5:8", "E3:8"]);
        for voice in &mut score.voices {
            voice.changes.push((Time::minims(4), Change::Words("Prima pars".into())));
        }
        let words = |staves, bar: usize| {
            let arrangement = arrange(&score, Options { staves, ..Options::default() });
            arrangement.bars[bar].words.len()
        };
        assert_eq!((words(Staves::Keyboard, 0), words(Staves::Open, 0)), (0, 0));
        assert_eq!((words(Staves::Keyboard, 1), words(Staves::Open, 1)), (1, 2));
    }

    #[test]
    fn signs_inside_a_piece_are_shown_as_words() {
        let mut score = score(4, &["C5:4 x3:2 D5:2/3 E5:2/3 F5:2/3 x G5:2"]);
        score.voices[0].changes.push((Time::minims(4), Change::Sign(Sign::parse("3/2").unwrap())));
        let arrangement = arrange(&score, Options::default());
        let words = &arrangement.bars[1].words;
        let text = "3/2: three minims in the time of two";
        assert_eq!((words[0].text.as_ref(), words[0].at), (text, Time::minims(4)));
    }

    /// The words of all bars, with their voices.
    fn all_words(score: &Score) -> Vec<String> {
        let arrangement = arrange(score, Options { staves: Staves::Open, ..Options::default() });
        let words = arrangement.bars.iter().flat_map(|bar| &bar.words);
        words.map(|words| format!("{} {}: {}", words.voice, words.at, words.text)).collect()
    }

    fn signed(mut score: Score, signs: &[(i64, &str)]) -> Score {
        for voice in &mut score.voices {
            let changes = signs
                .iter()
                .map(|(at, sign)| (Time::minims(*at), Change::Sign(Sign::parse(sign).unwrap())));
            voice.changes.extend(changes);
        }
        score
    }

    #[test]
    fn a_sign_for_all_voices_stands_over_the_top_staff_alone() {
        let passage = score(4, &["C5:4 x3:2 D5:4 x E5:4", "C4:4 x3:2 D4:4 x E4:4"]);
        let found = all_words(&signed(passage, &[(4, "3"), (8, "C|")]));
        assert_eq!(found, ["0 4: 3: three minims in the time of two", "0 8: C|"]);
        let found = all_words(&signed(score(4, &["C5:8", "C4:8"]), &[(4, "C")]));
        assert_eq!(found, ["0 4: C", "1 4: C"]);
    }

    #[test]
    fn a_proportion_of_all_voices_without_a_sign_is_explained() {
        let found = all_words(&score(4, &["x3:1 C5:4", "x3:1 C4:4"]));
        assert_eq!(found, ["0 0: three minims in the time of one, in halved values"]);
    }

    #[test]
    fn what_words_say_already_is_not_said_again() {
        let mut score = score(4, &["x3:1 C5:4", "x3:1 C4:4"]);
        let words = "3: three minims in the time of one, in halved values";
        score.voices[1].changes.push((Time::ZERO, Change::Words(words.into())));
        assert_eq!(all_words(&score), [format!("1 0: {words}")]);
    }

    #[test]
    fn a_figure_at_black_notes_is_not_explained() {
        let mut score = signed(score(4, &["C5:4 x3:1 D5:1/3 E5 F5 x G5:3"]), &[(4, "3")]);
        for event in &mut score.voices[0].events {
            event.rule = crate::Rule::Figure;
        }
        assert_eq!(all_words(&score), ["0 4: 3"]);
    }

    #[test]
    fn what_a_proportion_means() {
        let say = |many, of| meaning(Proportion::new(many, of).unwrap(), false);
        assert_eq!(say(3, 2), "three minims in the time of two");
        assert_eq!(say(2, 1), "two minims in the time of one, in halved values");
        assert_eq!(say(1, 2), "one minim in the time of two, in doubled values");
        assert_eq!(say(9, 4), "nine minims in the time of four, in halved values");
        assert_eq!(say(13, 12), "13 minims in the time of twelve");
    }
}
