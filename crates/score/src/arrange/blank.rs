//! Staves left empty, to be filled by whoever plays or writes: see [`Score::blank`].

use notation::NoteSigns;

use super::{ArrangedBar, Beams};
use crate::Score;

/// Takes away what is not to be seen of staves that are left empty, when all else is decided.
pub(super) fn hide(score: &Score, bars: &mut [ArrangedBar<'_>]) {
    for bar in bars {
        for (timed, segments) in score.voices.iter().zip(&mut bar.voices) {
            if timed.blank.is_empty() {
                continue;
            }
            for segment in segments.iter_mut().filter(|segment| !segment.is_rest()) {
                if !timed.is_blank(timed.events[segment.event].onset) {
                    continue;
                }
                segment.notes.clear();
                segment.left_out = true;
                segment.blank = true;
                segment.tied_before = false;
                segment.tied_after = false;
                segment.beams = Beams::default();
                segment.ligature = None;
                segment.coloration = None;
                segment.signs = NoteSigns::default();
                if let Some(tuplet) = &mut segment.tuplet {
                    tuplet.shown = false;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use rudiments::Time;

    use super::super::testing::score;
    use crate::{Options, Staves, arrange};

    /// What is seen of a voice, by its onsets; rests in brackets.
    fn seen(score: &crate::Score, staves: Staves, voice: usize) -> Vec<String> {
        let arrangement = arrange(score, Options { staves, ..Options::default() });
        let segments = arrangement.bars.iter().flat_map(|bar| &bar.voices[voice]);
        let seen = segments.filter(|one| !one.left_out).map(|one| {
            if one.is_rest() { format!("({})", one.onset) } else { one.onset.to_string() }
        });
        seen.collect()
    }

    #[test]
    fn of_a_voice_that_is_blank_its_rests_are_seen() {
        for staves in [Staves::Open, Staves::Keyboard] {
            let mut score = score(4, &["_:2 A4:2 B4:2 C5:2", "D4:4 E4:2 F4:2"]);
            let other = seen(&score, staves, 1);
            score.blank(0, Time::ZERO, score.length);
            assert_eq!(seen(&score, staves, 0), ["(0)"]);
            assert_eq!(seen(&score, staves, 1), other);
        }
    }

    #[test]
    fn notes_before_and_after_stay() {
        let mut score = score(4, &["A4:2 B4:2 C5:2 D5:2", "D4:4 E4:2 F4:2"]);
        score.blank(0, Time::minims(2), Time::minims(6));
        assert_eq!(seen(&score, Staves::Open, 0), ["0", "6"]);
    }

    /// The staff keeps the clef that the voice needs.
    #[test]
    fn clefs_stay() {
        let mut score = score(4, &["A4:4", "D3:4"]);
        let open = Options { staves: Staves::Open, ..Options::default() };
        let clefs = |score: &crate::Score| {
            let staves = arrange(score, open).staves;
            staves.iter().map(|staff| staff.clefs.clone()).collect::<Vec<_>>()
        };
        let whole = clefs(&score);
        score.blank(1, Time::ZERO, score.length);
        assert_eq!(clefs(&score), whole);
    }
}
