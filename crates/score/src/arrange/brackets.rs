//! Brackets over several notes: ligatures, and passages in coloration.

use super::Edges;
use crate::{TimedEvent, TimedVoice};

/// The brackets over a voice. Each begins and ends with a note; rests at its edges are left out. So all
/// rests between two notes are under a bracket or none is, and may be joined.
pub(super) struct Brackets {
    /// Beside the events.
    ligatures: Vec<Option<Edges>>,
    colorations: Vec<Option<Edges>>,
}

impl Brackets {
    pub(super) fn of(voice: &TimedVoice) -> Brackets {
        Brackets {
            ligatures: edges(&voice.events, |event| event.ligature),
            colorations: edges(&voice.events, |event| event.colored.then_some(0)),
        }
    }

    /// A segment's part in the bracket of a ligature and in that of coloration; `begins` and `ends` say
    /// whether its event begins and ends with it.
    pub(super) fn at(
        &self,
        event: usize,
        begins: bool,
        ends: bool,
    ) -> (Option<Edges>, Option<Edges>) {
        let of_segment =
            |edges: Edges| Edges { begins: edges.begins && begins, ends: edges.ends && ends };
        (self.ligatures[event].map(of_segment), self.colorations[event].map(of_segment))
    }
}

/// Of each event, whether it begins and ends a run of events with the same number.
fn edges(events: &[TimedEvent], number: impl Fn(&TimedEvent) -> Option<u32>) -> Vec<Option<Edges>> {
    let mut edges: Vec<Option<Edges>> = vec![None; events.len()];
    // The number of the run, and its last note.
    let mut run: Option<(u32, usize)> = None;
    // What does not last is not written.
    let lasting = events.iter().enumerate().filter(|(_, event)| event.length.is_positive());
    for (place, event) in lasting {
        let same = |(of_run, _): &(u32, usize)| Some(*of_run) == number(event);
        run = run.filter(same);
        if event.is_rest() {
            continue;
        }
        let Some(number) = number(event) else { continue };
        edges[place] = Some(Edges { begins: run.is_none(), ends: true });
        if let Some((_, last)) = run {
            if let Some(before) = &mut edges[last] {
                before.ends = false;
            }
            edges[last + 1..place].fill(Some(Edges { begins: false, ends: false }));
        }
        run = Some((number, place));
    }
    edges
}

#[cfg(test)]
mod tests {
    use super::super::testing::score;
    use super::super::{Options, arrange};
    use super::*;

    /// The edges of every segment's bracket: `(` begins, `)` ends.
    fn brackets(voice: &str, ligature: &[usize], colored: &[usize]) -> Vec<String> {
        let mut score = score(4, &[voice]);
        for event in ligature {
            score.voices[0].events[*event].ligature = Some(0);
        }
        for event in colored {
            score.voices[0].events[*event].colored = true;
        }
        let arrangement = arrange(&score, Options::default());
        let say = |edges: Option<Edges>| {
            edges.map_or(String::new(), |edges| {
                let begins = if edges.begins { "(" } else { "" };
                let ends = if edges.ends { ")" } else { "" };
                format!("{begins}-{ends}")
            })
        };
        let segments = arrangement.bars.iter().flat_map(|bar| &bar.voices[0]);
        segments.map(|segment| say(segment.ligature) + &say(segment.coloration)).collect()
    }

    #[test]
    fn a_bracket_spans_tied_segments() {
        assert_eq!(brackets("C5:2 D5:4 E5:2", &[0, 1], &[]), ["(-", "-", "-)", ""]);
    }

    #[test]
    fn a_bracket_goes_on_over_rests_and_bar_lines() {
        assert_eq!(brackets("C5:2 _:4 E5:2", &[], &[0, 1, 2]), ["(-", "-", "-", "-)"]);
        assert_eq!(
            brackets("C5:2 _:1 _:1 _:2 E5:2", &[], &[0, 1, 2, 3, 4]),
            ["(-", "-", "-", "-)"]
        );
    }

    #[test]
    fn a_bracket_begins_and_ends_with_a_note() {
        assert_eq!(brackets("_:1 _:1 C5:2 _:4 _:4", &[], &[1, 2, 3]), ["", "(-)", "", ""]);
        assert_eq!(brackets("_:1 _:1 C5:2", &[0, 1], &[1]), ["", ""]);
    }

    #[test]
    fn a_rest_between_two_brackets_is_in_neither() {
        let found = brackets("C5:1 _:1/2 _:1/2 D5:2", &[0, 1], &[2, 3]);
        assert_eq!(found, ["(-)", "", "(-)"]);
    }
}
