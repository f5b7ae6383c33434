//! Stems by voice: up for the upper voice of a staff, down for the lower, also where they cross.
//!
//! Each bar is taken for itself. A voice shares its staff in a bar with every other voice that
//! has a note there, or a rest that is shorter than the bar. Of two voices the upper one has its
//! stems up, the lower one down. Of three and more, the outer ones likewise; an inner one has its
//! stems away from the neighbour that it is nearer to, so that heads that stand close do not share
//! a direction. A voice that is alone has its stems by the middle line.

use super::super::{ArrangedBar, Beam, Segment, Shape, Staff, Stem};
use super::middle_line;

/// Gives every segment its side.
pub(in super::super) fn by_voice(staves: &[Staff], bars: &mut [ArrangedBar]) {
    let mut present = Vec::new();
    for (bar_number, bar) in bars.iter_mut().enumerate() {
        for (number, staff) in staves.iter().enumerate() {
            present.clear();
            for (voice, segments) in bar.voices.iter().enumerate() {
                present.extend(Presence::of(voice, segments, number));
            }
            let sides: Vec<Stem> = (0..present.len()).map(|rank| side(&present, rank)).collect();
            for (presence, side) in present.iter().zip(sides) {
                let segments = &mut bar.voices[presence.voice];
                if present.len() == 1 {
                    by_the_middle_line(segments, number, (staff, bar_number));
                } else {
                    for segment in segments.iter_mut().filter(|segment| segment.staff == number) {
                        segment.stem = side;
                    }
                }
            }
            let sharing = present.len();
            for (voice, segments) in bar.voices.iter_mut().enumerate() {
                let shares = present.iter().any(|presence| presence.voice == voice);
                for segment in segments.iter_mut().filter(|segment| segment.staff == number) {
                    segment.alone |= sharing == 0 || (sharing == 1 && shares);
                }
            }
        }
    }
}

/// A voice that has something on a staff in a bar.
struct Presence {
    voice: usize,
    /// The sum and the number of the rungs of its notes there.
    rungs: i64,
    notes: i64,
}

impl Presence {
    fn of(voice: usize, segments: &[Segment], staff: usize) -> Option<Presence> {
        let here = || segments.iter().filter(|segment| segment.staff == staff);
        let counts = |segment: &Segment| {
            !segment.left_out && !matches!(segment.shape, Shape::WholeBar { .. })
        };
        let notes = here().flat_map(|segment| &segment.notes);
        let mut presence = Presence { voice, rungs: 0, notes: 0 };
        for note in notes {
            presence.rungs += note.pitch.tone.rung() as i64;
            presence.notes += 1;
        }
        here().any(counts).then_some(presence)
    }

    /// How far another voice is, on average and in whole steps; nothing where one has only rests.
    fn distance(&self, other: &Presence) -> Option<i64> {
        (self.notes > 0 && other.notes > 0)
            .then(|| (self.rungs / self.notes - other.rungs / other.notes).abs())
    }
}

/// The side of the voice of that rank from the top, among those present on the staff.
fn side(present: &[Presence], rank: usize) -> Stem {
    if rank == 0 {
        return Stem::Up;
    }
    if rank + 1 == present.len() {
        return Stem::Down;
    }
    let above = present[rank].distance(&present[rank - 1]);
    let below = present[rank].distance(&present[rank + 1]);
    match (above, below) {
        (Some(above), Some(below)) if above < below => Stem::Down,
        (Some(_), None) => Stem::Down,
        _ => Stem::Up,
    }
}

/// Directs the segments of a voice that is alone on the staff.
fn by_the_middle_line(segments: &mut [Segment], number: usize, (staff, bar): (&Staff, usize)) {
    let mut first = 0;
    while first < segments.len() {
        let mut last = first;
        while matches!(segments[last].beams.iter().next(), Some(Beam::Begins | Beam::GoesOn))
            && last + 1 < segments.len()
        {
            last += 1;
        }
        let group = &mut segments[first..=last];
        let side = middle_line::side(group.iter(), (staff, bar));
        for segment in group.iter_mut().filter(|segment| segment.staff == number) {
            segment.stem = side;
        }
        first = last + 1;
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::testing::score;
    use super::super::super::{Options, Staves, Stems, arrange};
    use super::*;

    /// The stems of each voice in the first bar, `u` and `d`.
    fn stems(staves: Staves, voices: &[&str]) -> Vec<String> {
        let score = score(4, voices);
        let arrangement =
            arrange(&score, Options { staves, stems: Stems::Voice, ..Options::default() });
        let say = |segment: &Segment| if segment.stem == Stem::Up { 'u' } else { 'd' };
        arrangement.bars[0].voices.iter().map(|voice| voice.iter().map(say).collect()).collect()
    }

    #[test]
    fn alone_by_the_middle_line() {
        assert_eq!(stems(Staves::Open, &["A4:1 B4:1 C5:1 D4:1"]), ["uddu"]);
    }

    #[test]
    fn a_beam_goes_by_its_farthest_note() {
        assert_eq!(stems(Staves::Open, &["A4:1/4 F5 A4 A4 E4:1/4 C5 A4 A4 B4:2"]), ["dddduuuud"]);
    }

    #[test]
    fn two_on_a_staff_part() {
        assert_eq!(stems(Staves::Keyboard, &["C5:2 D5", "A4:4", "C3:4"])[..2], ["uu", "d"]);
    }

    #[test]
    fn a_bar_of_rest_leaves_the_other_alone() {
        assert_eq!(stems(Staves::Keyboard, &["C5:2 D5", "_:4 G4:4"])[0], "dd");
    }

    #[test]
    fn the_middle_of_three_turns_away_from_its_neighbour() {
        let at = |voice, rung| Presence { voice, rungs: rung, notes: 1 };
        let middle = |rungs: [i64; 3]| {
            let present: Vec<_> = (0..3).map(|voice| at(voice, rungs[voice])).collect();
            side(&present, 1)
        };
        assert_eq!(middle([35, 33, 28]), Stem::Down);
        assert_eq!(middle([35, 30, 28]), Stem::Up);
    }
}
