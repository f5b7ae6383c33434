//! Beams.
//!
//! Notes with flags are beamed within the minim, so that beams show the minims of the source;
//! where the minim stands as an eighth, within the semibreve, perfect or not. A beam does not run over rests, bar
//! lines, from staff to staff, or into or out of a tuplet. In a bar that all voices count in a
//! proportion, minims are those that are written. Beams after the first are interrupted
//! at every quarter note.

use rudiments::{Time, Value};

use super::tuplets::Ratio;
use super::{ArrangedBar, Beam, Beams, NoteValue, Reduction, Segment, Shape};
use crate::Score;

/// The widest span of the notes under a beam, in steps: an octave.
const WIDEST: i32 = 7;

/// Draws the beams of a voice.
pub(super) fn draw(score: &Score, voice: usize, reduction: Reduction, bars: &mut [ArrangedBar]) {
    let quarter = reduction.quarter();
    for (bar, arranged) in score.bars.iter().zip(bars) {
        let threes = bar.mensuration.is_perfect(Value::Semibreve) && quarter > Time::minims(1);
        let unit = if threes { Time::minims(3) } else { quarter.max(Time::minims(1)) };
        let segments = &mut arranged.voices[voice];
        let mut first = 0;
        while first < segments.len() {
            let mut last = first;
            while last + 1 < segments.len()
                && together(&segments[last], &segments[last + 1], bar.start, unit)
            {
                last += 1;
            }
            let last = first + in_reach(&segments[first..=last]);
            if last > first {
                beam(&mut segments[first..=last], bar.start, quarter);
            }
            first = last + 1;
        }
    }
}

/// How many of a group after its first stand under one beam with it: not beyond a leap of an octave,
/// nor so many that they span more than an octave, since the beam would be too far from one of its
/// notes (Gould: a beam is divided at a large leap; from memory). Then it is broken at its widest
/// leap.
fn in_reach(group: &[Segment]) -> usize {
    let rungs =
        || group.iter().flat_map(|segment| &segment.notes).map(|note| note.pitch.tone.rung());
    let span = rungs().max().unwrap_or(0) - rungs().min().unwrap_or(0);
    let rung = |segment: &Segment| segment.notes.first().map_or(0, |note| note.pitch.tone.rung());
    let leap = |place: &usize| (rung(&group[*place]) - rung(&group[*place + 1])).abs();
    let widest = (0..group.len() - 1).rev().max_by_key(leap);
    match widest {
        Some(widest) if span > WIDEST || leap(&widest) >= WIDEST => in_reach(&group[..=widest]),
        _ => group.len() - 1,
    }
}

fn flags(segment: &Segment) -> usize {
    match segment.shape {
        Shape::Plain { value, .. } if !segment.is_rest() => value.flags(),
        _ => 0,
    }
}

/// Whether two neighbours stand under one beam.
fn together(one: &Segment, next: &Segment, bar: Time, unit: Time) -> bool {
    let same_tuplet = match (one.tuplet, next.tuplet) {
        (None, None) => true,
        (Some(one), Some(next)) => !one.shown || (!one.edges.ends && !next.edges.begins),
        _ => false,
    };
    flags(one) > 0
        && flags(next) > 0
        && one.staff == next.staff
        && same_tuplet
        && written_place(one, bar).whole(unit) == written_place(next, bar).whole(unit)
}

/// Where a segment stands in its bar, as the bar is written.
fn written_place(segment: &Segment, bar: Time) -> Time {
    let place = segment.onset - bar;
    let hidden = segment.tuplet.filter(|tuplet| !tuplet.shown);
    hidden.map_or(place, |tuplet| {
        let ratio = Ratio { many: tuplet.many, in_time_of: tuplet.in_time_of };
        ratio.written(place).unwrap_or(place)
    })
}

/// Draws the beam of notes anew that are now all there is of a group; one alone has none.
pub(super) fn again(group: &mut [Segment], bar: Time, reduction: Reduction) {
    for segment in group.iter_mut() {
        segment.beams = Beams::default();
    }
    if group.len() > 1 {
        beam(group, bar, reduction.quarter());
    }
}

/// Beams a group of at least two.
fn beam(group: &mut [Segment], bar: Time, quarter: Time) {
    for level in 0..NoteValue::MOST_FLAGS {
        // Whether this level's beam joins the note to the next.
        let joins = |place: usize| {
            let Some(next) = group.get(place + 1) else { return false };
            let quarter_of = |segment: &Segment| written_place(segment, bar).whole(quarter);
            let unbroken = level == 0 || quarter_of(&group[place]) == quarter_of(next);
            unbroken && flags(&group[place]) > level && flags(next) > level
        };
        let beams: Vec<Option<Beam>> = (0..group.len())
            .map(|place| {
                let before = place > 0 && joins(place - 1);
                match (before, joins(place)) {
                    _ if flags(&group[place]) <= level => None,
                    (true, true) => Some(Beam::GoesOn),
                    (true, false) => Some(Beam::Ends),
                    (false, true) => Some(Beam::Begins),
                    (false, false) => Some(hook(group, place, bar, quarter)),
                }
            })
            .collect();
        if beams.iter().all(Option::is_none) {
            break;
        }
        for (segment, beam) in group.iter_mut().zip(beams) {
            let Beams(levels) = &mut segment.beams;
            levels[level] = beam;
        }
    }
}

/// A short beam points to the note with which it makes up a quarter: back where it ends one,
/// forward where it begins one.
fn hook(group: &[Segment], place: usize, bar: Time, quarter: Time) -> Beam {
    let begins = written_place(&group[place], bar).within(quarter).is_zero();
    if place == 0 || (begins && place + 1 < group.len()) {
        Beam::HookForward
    } else {
        Beam::HookBack
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::score;
    use super::super::{Options, Staves, arrange};
    use super::*;

    /// The beams of the first voice, a note a word: `b` begins, `-` goes on, `e` ends, `>` and `<`
    /// hooks, `.` none.
    fn beams_at(reduction: Reduction, voice: &str) -> String {
        let score = score(4, &[voice]);
        let options = Options { reduction, staves: Staves::Open, ..Options::default() };
        let arrangement = arrange(&score, options);
        let say = |segment: &Segment| {
            let letters: String = segment
                .beams
                .iter()
                .map(|beam| match beam {
                    Beam::Begins => 'b',
                    Beam::GoesOn => '-',
                    Beam::Ends => 'e',
                    Beam::HookForward => '>',
                    Beam::HookBack => '<',
                })
                .collect();
            if letters.is_empty() { ".".to_string() } else { letters }
        };
        let segments = arrangement.bars.iter().flat_map(|bar| &bar.voices[0]);
        segments.map(say).collect::<Vec<_>>().join(" ")
    }

    fn beams(voice: &str) -> String {
        beams_at(Reduction::Original, voice)
    }

    #[test]
    fn a_proportion_of_all_voices_beams_its_written_minims() {
        // Eight fusae of the written bar are two of its minims.
        assert_eq!(beams("x3:2 C4:1/6 D4 E4 F4 G4 A4 B4 C5 D5:8/3"), "b - - e b - - e .");
    }

    #[test]
    fn fusae_are_beamed_within_the_minim() {
        let eight = "C4:1/4 D4 C4 D4 C4 D4 C4 D4 C4:2";
        assert_eq!(beams(eight), "b - - e b - - e .");
        assert_eq!(beams("C4:3/4 D4:1/4 E4:1/4 D4 C4:1/2 D4:2"), ". . b e . .");
    }

    #[test]
    fn reduced_values_are_beamed_within_the_minim_too() {
        assert_eq!(beams_at(Reduction::Halved, "C4:1/2 D4 E4 D4 C4:2"), "b e b e .");
        assert_eq!(beams_at(Reduction::Quartered, "C4:1 D4 E4 D4"), "b e b e");
    }

    #[test]
    fn a_rest_interrupts() {
        assert_eq!(beams("C4:1/4 D4 _ E4 F4 G4 A4 B4 C4:2"), "b e . . b - - e .");
    }

    #[test]
    fn hooks_point_into_their_quarter() {
        assert_eq!(beams("C4:3/8 D4:1/8 E4:3/8 F4:1/8 C4:3"), "b -< - e< .");
        assert_eq!(beams("C4:1/8 D4:3/8 E4:1/2 C4:3"), "b> e . .");
    }

    #[test]
    fn semifusae_are_interrupted_at_the_quarter() {
        assert_eq!(beams("C4:1/8 D4 E4 F4 C4 D4 E4 F4 C4:3"), "bb -- -- -e -b -- -- ee .");
    }

    #[test]
    fn a_tuplet_has_its_own_beam() {
        assert_eq!(beams("x3:2 C4:1/6 D4 E4 x C4:1/4 D4 C4:3"), "b - e b e .");
    }

    #[test]
    fn a_beam_stays_on_its_staff() {
        let score = score(4, &["C4:1/4 D4 C4:7/2"]);
        let arrangement = arrange(&score, Options::default());
        let [one, next, ..] = arrangement.bars[0].voices[0].as_slice() else { panic!() };
        let joined = |one, next| together(one, next, Time::ZERO, Time::minims(1));
        assert!(joined(one, next));
        assert!(!joined(one, &Segment { staff: 1 - one.staff, ..next.clone() }));
    }
}
