//! Passages of two voices.

use std::ops::Range;

use rudiments::Time;

use crate::Score;

/// A passage of two voices among more is one only if it lasts at least so many bars.
const BARS: i64 = 3;

/// Where no more than two voices sound at a time, in order: the whole of a piece of two voices.
pub(super) fn find(score: &Score) -> Vec<Range<Time>> {
    if score.voices.len() <= 2 {
        return vec![Time::ZERO..score.length];
    }
    // Where a note begins or ends; those that end at a moment are over before others begin.
    let events = score.voices.iter().flat_map(|voice| &voice.events);
    let mut edges: Vec<(Time, bool)> = events
        .filter(|event| !event.is_rest() && event.length.is_positive())
        .flat_map(|event| [(event.onset, true), (event.end(), false)])
        .collect();
    edges.sort_unstable();
    let mut found = Vec::new();
    let (mut sounding, mut from) = (0, Time::ZERO);
    for (at, begins) in edges {
        if begins {
            sounding += 1;
            if sounding == 3 && at - from >= score.bar * BARS {
                found.push(from..at);
            }
        } else {
            if sounding == 3 {
                from = at;
            }
            sounding -= 1;
        }
    }
    if score.length - from >= score.bar * BARS {
        found.push(from..score.length);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::super::testing::score;
    use super::*;

    fn passages(voices: &[&str]) -> Vec<String> {
        let say = |passage: Range<Time>| format!("{}-{}", passage.start, passage.end);
        find(&score(4, voices)).into_iter().map(say).collect()
    }

    #[test]
    fn a_duo_is_one_throughout() {
        assert_eq!(passages(&["C5:4 D5:4", "C4:8"]), ["0-8"]);
    }

    #[test]
    fn between_three_voices_two_must_last() {
        let upper = ["C5:4 D5:4 C5:4 D5:4 C5:4", "A4:4 A4:4 A4:4 A4:4 A4:4"];
        assert_eq!(passages(&[upper[0], upper[1], "C4:4 _:8 C4:8"]), [""; 0]);
        assert_eq!(passages(&[upper[0], upper[1], "C4:4 _:12 C4:4"]), ["4-16"]);
        assert_eq!(passages(&[upper[0], upper[1], "C4:4 _:4 _:12"]), ["4-20"]);
    }

    #[test]
    fn voices_may_take_turns() {
        assert_eq!(passages(&["C5:4 _:12", "A4:16", "_:4 C4:12"]), ["0-16"]);
    }
}
