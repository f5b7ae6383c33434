//! Which rests are shown, where several voices share a staff.
//!
//! A player needs to see that a hand is silent, not that one of its voices is. So every stretch in
//! which no note sounds on a staff has one rest, or as many as its length needs, and they stand for
//! all voices; what other voices cover is left out. It is shown after all right before its voice
//! enters off the beat, by itself and as the highest or lowest of the staff, where it is shorter than
//! the minim and helps to count; and where it has something to say of its own: a sign, an editor's reading,
//! its place in a tuplet. (Common practice of keyboard scores of vocal music; Gould, *Behind Bars*,
//! on rests of several parts on a staff, from memory.)

use rudiments::Time;

use super::bars::InPassage;
use super::{ArrangedBar, Options, Segment, Shape, StaffRest, spell};
use crate::{Bar, Score, TimedEvent};

/// Leaves out the rests that others cover, and gives silent staves theirs.
pub(super) fn thin(
    score: &Score,
    options: &Options,
    staves: usize,
    meters: &[Option<InPassage>],
    bars: &mut [ArrangedBar],
) {
    for ((bar, arranged), passage) in score.bars.iter().zip(bars).zip(meters) {
        for staff in 0..staves {
            of_staff(score, bar, staff, arranged);
            let silent = silences(bar, staff, &arranged.voices);
            for (from, to) in silent {
                if !keep(staff, from, to, &mut arranged.voices) {
                    let rests = spell::rests(bar, options, *passage, from, to);
                    let rests = rests.into_iter().map(|(onset, length, shape)| StaffRest {
                        staff,
                        onset,
                        length,
                        shape,
                    });
                    arranged.rests.extend(rests);
                }
            }
        }
    }
}

/// Whether it is a rest for a part of the bar.
fn is_part_rest(segment: &Segment, staff: usize) -> bool {
    segment.staff == staff && segment.is_rest() && !matches!(segment.shape, Shape::WholeBar { .. })
}

/// Leaves out all rests of a staff but those that have something to say.
fn of_staff(score: &Score, bar: &Bar, staff: usize, arranged: &mut ArrangedBar) {
    for voice in 0..arranged.voices.len() {
        for place in 0..arranged.voices[voice].len() {
            let segment = &arranged.voices[voice][place];
            if !is_part_rest(segment, staff) {
                continue;
            }
            let speaks = says_something(&score.voices[voice].events[segment.event], segment)
                || before_entry(bar, arranged, voice, place);
            arranged.voices[voice][place].left_out = !speaks;
        }
    }
}

fn says_something(event: &TimedEvent, segment: &Segment) -> bool {
    !segment.signs.is_empty()
        || segment.tuplet.is_some_and(|tuplet| tuplet.shown)
        || event.item.is_some() && event.standing != notation::Standing::Printed
}

/// Whether an outer voice enters off the beat after a short rest.
fn before_entry(bar: &Bar, arranged: &ArrangedBar, voice: usize, place: usize) -> bool {
    let segments = &arranged.voices[voice];
    let rest = &segments[place];
    let Some(entry) = segments.get(place + 1) else { return false };
    // Of a longer rest that a beat cuts in two, one half alone would say what is not so.
    let before = place.checked_sub(1).map(|before| &segments[before]);
    let cut = before.is_some_and(|before| before.event == rest.event && is_short(before));
    let short = is_short(rest) && !cut;
    let off_beat = !(entry.onset - bar.start).within(Time::minims(1)).is_zero();
    if entry.is_rest() || entry.staff != rest.staff || !short || !off_beat {
        return false;
    }
    let Some((low, high)) = range(entry) else { return false };
    let meanwhile = |other: &&Segment| {
        other.staff == rest.staff
            && !other.is_rest()
            && other.onset < entry.end()
            && rest.onset < other.end()
    };
    let others = arranged.voices.iter().enumerate().filter(|(other, _)| *other != voice);
    let others: Vec<&Segment> =
        others.flat_map(|(_, segments)| segments.iter().filter(meanwhile)).collect();
    if others.iter().any(|other| other.onset == entry.onset) {
        return false;
    }
    let ranges: Vec<(i32, i32)> = others.into_iter().filter_map(range).collect();
    ranges.iter().all(|(_, top)| *top < low) || ranges.iter().all(|(bottom, _)| high < *bottom)
}

fn is_short(rest: &Segment) -> bool {
    rest.length < Time::minims(1)
}

/// The lowest and the highest rung of a segment's notes.
fn range(segment: &Segment) -> Option<(i32, i32)> {
    let rungs = || segment.notes.iter().map(|note| note.pitch.tone.rung());
    Some((rungs().min()?, rungs().max()?))
}

/// The stretches of a bar in which no note sounds on a staff. A staff that is silent all through
/// has the rest of a whole bar.
fn silences(bar: &Bar, staff: usize, voices: &[Vec<Segment>]) -> Vec<(Time, Time)> {
    let notes =
        voices.iter().flatten().filter(|segment| segment.staff == staff && !segment.is_rest());
    let mut spans: Vec<(Time, Time)> = notes.map(|note| (note.onset, note.end())).collect();
    let rests = voices.iter().flatten().any(|segment| is_part_rest(segment, staff));
    if spans.is_empty() && !rests {
        return Vec::new();
    }
    spans.sort_unstable();
    spans.push((bar.end, bar.end));
    let mut silent = Vec::new();
    let mut at = bar.start;
    for (from, to) in spans {
        if at < from {
            silent.push((at, from));
        }
        at = at.max(to);
    }
    silent
}

/// Shows the rests of a voice that fill a silence of the staff: one that ends with it, or else one
/// that goes on. Whether there is such a voice.
fn keep(staff: usize, from: Time, to: Time, voices: &mut [Vec<Segment>]) -> bool {
    let run = |segments: &[Segment]| {
        let first = segments.iter().position(|s| s.onset == from && is_part_rest(s, staff))?;
        let rests = segments[first..].iter();
        let count = rests.take_while(|s| s.onset < to && is_part_rest(s, staff)).count();
        let shown = segments[first..first + count].iter().any(|rest| !rest.left_out);
        let end = segments[first + count - 1].end();
        (end >= to).then_some((!shown, end, count, first))
    };
    let runs =
        voices.iter().enumerate().filter_map(|(voice, segments)| Some((voice, run(segments)?)));
    let best = runs.min_by_key(|(_, run)| *run);
    let Some((voice, (_, _, count, first))) = best else { return false };
    for rest in &mut voices[voice][first..first + count] {
        rest.left_out = false;
        rest.alone = true;
    }
    true
}

#[cfg(test)]
mod tests {
    use super::super::testing::score;
    use super::super::{Hand, Options, Rests, arrange};
    use crate::{Run, Score};

    /// The voices or staves of rests, with their onsets.
    type Places = Vec<(usize, String)>;

    /// The rests of the first bar that are shown: those of voices, then those of staves.
    fn shown(rests: Rests, voices: &[&str]) -> (Places, Places) {
        shown_of(&score(4, voices), rests)
    }

    fn shown_of(score: &Score, rests: Rests) -> (Places, Places) {
        let arrangement = arrange(score, Options { rests, ..Options::default() });
        let bar = &arrangement.bars[0];
        let of_voices = bar.voices.iter().enumerate().flat_map(|(voice, segments)| {
            let rests = segments.iter().filter(|segment| segment.is_rest() && !segment.left_out);
            rests.map(move |rest| (voice, rest.onset.to_string()))
        });
        let of_staves = bar.rests.iter().map(|rest| (rest.staff, rest.onset.to_string()));
        (of_voices.collect(), of_staves.collect())
    }

    fn at(places: &[(usize, &str)]) -> Places {
        places.iter().map(|(one, at)| (*one, (*at).to_owned())).collect()
    }

    #[test]
    fn what_others_cover_is_left_out() {
        let voices = ["E5:2 _:1 D5:1", "C5:4", "C3:4"];
        assert_eq!(shown(Rests::Needed, &voices), (at(&[]), at(&[])));
        assert_eq!(shown(Rests::All, &voices), (at(&[(0, "2")]), at(&[])));
    }

    #[test]
    fn equal_rests_are_one() {
        let voices = ["E5:2 _:1 D5:1", "C5:2 _:1 B4:1", "C3:4"];
        assert_eq!(shown(Rests::Needed, &voices).0, at(&[(0, "2")]));
    }

    #[test]
    fn a_voice_that_enters_off_the_beat_has_its_rest() {
        let voices = ["_:2 _:1/2 E5:1/2 D5:1", "A4:4", "C3:4"];
        assert_eq!(shown(Rests::Needed, &voices).0, at(&[(0, "2")]));
        // Not where something else begins with it.
        let voices = ["_:2 _:1/2 E5:1/2 D5:1", "A4:5/2 G4:3/2", "C3:4"];
        assert_eq!(shown(Rests::Needed, &voices).0, at(&[]));
        // Not the second half of a longer rest.
        let voices = ["E5:1/2 _:1 E5:1/2 D5:2", "A4:4", "C3:4"];
        assert_eq!(shown(Rests::Needed, &voices).0, at(&[]));
    }

    /// Every stretch in which nothing sounds on a staff has a rest.
    #[test]
    fn no_staff_is_silent_without_a_rest() {
        let mut score = score(4, &["E5:1 C3:3"]);
        let played = [(Hand::Right, 0), (Hand::Left, 1)];
        score.hands =
            played.map(|(hand, event)| (Run { voice: 0, first: event, last: event }, hand)).into();
        let (of_voices, of_staves) = shown_of(&score, Rests::Needed);
        assert_eq!((of_voices, of_staves.first()), (at(&[]), at(&[(0, "1")]).first()));
    }
}
