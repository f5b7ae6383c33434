//! What stands over and between the notes: brackets for ligatures and coloration, words, signs.

use std::borrow::Cow;
use std::collections::HashSet;

use rudiments::Time;

use super::{ArrangedBar, Edges, Words};
use crate::{Change, Score, TimedEvent, TimedVoice};

/// A segment's part in the bracket of its event's ligature; `begins` and `ends` say whether the
/// event itself begins and ends with the segment.
pub(super) fn ligature(
    voice: &TimedVoice,
    event: usize,
    begins: bool,
    ends: bool,
) -> Option<Edges> {
    let number = voice.events[event].ligature?;
    let same = |other: Option<&TimedEvent>| other.is_some_and(|e| e.ligature == Some(number));
    Some(edges(voice, event, begins, ends, same))
}

/// A segment's part in the bracket of a blackened group.
pub(super) fn coloration(
    voice: &TimedVoice,
    event: usize,
    begins: bool,
    ends: bool,
) -> Option<Edges> {
    let colored = |other: Option<&TimedEvent>| other.is_some_and(|event| event.colored);
    colored(voice.events.get(event)).then(|| edges(voice, event, begins, ends, colored))
}

fn edges(
    voice: &TimedVoice,
    event: usize,
    begins: bool,
    ends: bool,
    same: impl Fn(Option<&TimedEvent>) -> bool,
) -> Edges {
    let before = event.checked_sub(1).and_then(|before| voice.events.get(before));
    Edges { begins: begins && !same(before), ends: ends && !same(voice.events.get(event + 1)) }
}

/// Puts words, and signs inside the piece, into their bars. What several voices of one staff say
/// at one moment is said once, over the highest.
pub(super) fn words<'s>(score: &'s Score, bars: &mut [ArrangedBar<'s>]) {
    let mut said: HashSet<(usize, Time, Cow<'s, str>)> = HashSet::new();
    for (voice, timed) in score.voices.iter().enumerate() {
        let at_the_beginning = timed.sign.filter(|sign| !sign.is_plain());
        let beginning = at_the_beginning.map(|sign| (Time::ZERO, Cow::from(sign.to_string())));
        let later = timed.changes.iter().filter_map(|(at, change)| match change {
            Change::Words(words) => Some((*at, Cow::from(words.as_str()))),
            Change::Sign(sign) => Some((*at, Cow::from(sign.to_string()))),
            _ => None,
        });
        let mut bar = 0;
        for (at, text) in beginning.into_iter().chain(later) {
            while score.bars.get(bar + 1).is_some_and(|next| next.start <= at) {
                bar += 1;
            }
            let Some(arranged) = bars.get_mut(bar) else { continue };
            let segments = &arranged.voices[voice];
            let there = segments.partition_point(|segment| segment.end() <= at);
            let segment = segments.get(there).or(segments.last());
            let staff = segment.map_or(voice, |segment| segment.staff);
            if said.insert((staff, at, text.clone())) {
                arranged.words.push(Words { voice, at, text });
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use rudiments::Sign;

    use super::super::testing::score;
    use super::super::{Options, Staves, arrange};
    use super::*;

    #[test]
    fn what_two_voices_of_a_staff_say_is_said_once() {
        let mut score = score(4, &["C5:8", "E4:8"]);
        for voice in &mut score.voices {
            voice.changes.push((Time::minims(4), Change::Words("Prima pars".into())));
        }
        let words = |staves, bar: usize| {
            let arrangement = arrange(&score, Options { staves, ..Options::default() });
            arrangement.bars[bar].words.len()
        };
        assert_eq!((words(Staves::Keyboard, 0), words(Staves::Open, 0)), (0, 0));
        assert_eq!(words(Staves::Open, 1), 2);
        let arrangement = arrange(&score, Options::default());
        let staves: HashSet<usize> =
            arrangement.bars[1].voices.iter().map(|segments| segments[0].staff).collect();
        assert_eq!(arrangement.bars[1].words.len(), staves.len());
    }

    #[test]
    fn signs_inside_a_piece_are_shown_as_words() {
        let mut score = score(4, &["C5:4 x3:2 D5:2/3 E5:2/3 F5:2/3 x G5:2"]);
        score.voices[0].changes.push((Time::minims(4), Change::Sign(Sign::parse("3/2").unwrap())));
        let arrangement = arrange(&score, Options::default());
        let words = &arrangement.bars[1].words;
        assert_eq!((words[0].text.as_ref(), words[0].at), ("3/2", Time::minims(4)));
    }

    /// The edges of every segment's ligature: `(` begins, `)` ends.
    #[test]
    fn a_bracket_spans_tied_segments() {
        let mut score = score(4, &["C5:2 D5:4 E5:2"]);
        score.voices[0].events[0].ligature = Some(0);
        score.voices[0].events[1].ligature = Some(0);
        let arrangement = arrange(&score, Options::default());
        let edges: Vec<String> = arrangement
            .bars
            .iter()
            .flat_map(|bar| &bar.voices[0])
            .map(|segment| match segment.ligature {
                Some(edges) => {
                    let begins = if edges.begins { "(" } else { "" };
                    let ends = if edges.ends { ")" } else { "" };
                    format!("{begins}-{ends}")
                }
                None => String::new(),
            })
            .collect();
        assert_eq!(edges, ["(-", "-", "-)", ""]);
    }
}
