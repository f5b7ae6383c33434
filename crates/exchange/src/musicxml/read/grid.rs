//! The measures of all parts on one line of time.

use notation::longest_voice;
use rudiments::Time;

use super::part::Moment;

/// What is known of the lengths of the measures, by their numbers from 0.
#[derive(Default)]
pub(super) struct Measures(Vec<Measure>);

#[derive(Clone, Copy, Default)]
struct Measure {
    /// How far its notes and rests reach in the part where they reach farthest.
    content: Time,
    /// How long its longest rest for the whole measure says that it is.
    rest: Time,
    /// The measure that is signed from here on.
    time: Option<Time>,
}

impl Measures {
    fn at(&mut self, number: usize) -> &mut Measure {
        if number >= self.0.len() {
            self.0.resize(number + 1, Measure::default());
        }
        &mut self.0[number]
    }

    /// Notes and rests of a measure reach so far.
    pub(super) fn content(&mut self, number: usize, length: Time) {
        let content = &mut self.at(number).content;
        *content = length.max(*content);
    }

    /// A rest for the whole measure says how long the measure is.
    pub(super) fn rest(&mut self, number: usize, length: Time) {
        let rest = &mut self.at(number).rest;
        *rest = length.max(*rest);
    }

    /// From here on a measure is signed to be so long.
    pub(super) fn time(&mut self, number: usize, length: Option<Time>) {
        let time = &mut self.at(number).time;
        *time = length.or(*time);
    }
}

/// Where each measure begins.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Grid {
    /// The beginnings, and the end of the last; at least one.
    starts: Vec<Time>,
}

impl Grid {
    /// Lays out the measures; nothing if they are too long together.
    ///
    /// A measure is as long as its longest content. Rests for the whole measure fill it, whatever
    /// their durations are; only where one is as long as the measure that is signed, or where there
    /// is nothing else, it counts too.
    pub(super) fn of(measures: &Measures) -> Option<Grid> {
        let mut starts = Vec::with_capacity(measures.0.len() + 1);
        let (mut start, mut signed) = (Time::ZERO, None);
        starts.push(start);
        for Measure { content, rest, time } in &measures.0 {
            signed = time.or(signed);
            let rest_counts = content.is_zero() || signed == Some(*rest);
            start += if rest_counts { *content.max(rest) } else { *content };
            starts.push(start);
            if start > longest_voice(1) {
                return None;
            }
        }
        Some(Grid { starts })
    }

    /// When something is. What lies beyond the end of its measure is there all the same.
    pub(super) fn time(&self, moment: Moment) -> Time {
        self.starts.get(moment.measure).map_or(self.end(), |start| *start + moment.within)
    }

    /// The beginning of the measure in which a time lies, and its end.
    pub(super) fn around(&self, time: Time) -> (Time, Time) {
        let after = self.starts.partition_point(|start| *start <= time);
        let start = self.starts[after.saturating_sub(1)];
        (start, self.starts.get(after).copied().unwrap_or(start))
    }

    /// Where the last measure ends.
    pub(super) fn end(&self) -> Time {
        self.starts.last().copied().unwrap_or(Time::ZERO)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn starts(measures: &Measures) -> Vec<Time> {
        Grid::of(measures).unwrap().starts
    }

    #[test]
    fn the_longest_part_decides() {
        let mut measures = Measures::default();
        for (number, length) in [(0, 4), (1, 2), (0, 3), (1, 3)] {
            measures.content(number, Time::minims(length));
        }
        assert_eq!(starts(&measures), [0, 4, 7].map(Time::minims));
    }

    #[test]
    fn a_rest_for_the_measure_fills_it() {
        let mut measures = Measures::default();
        measures.content(0, Time::minims(3));
        measures.rest(0, Time::minims(4));
        measures.rest(1, Time::minims(4));
        assert_eq!(starts(&measures), [0, 3, 7].map(Time::minims));
        measures.time(0, Some(Time::minims(4)));
        assert_eq!(starts(&measures), [0, 4, 8].map(Time::minims));
    }

    #[test]
    fn a_piece_ends_somewhere() {
        let mut measures = Measures::default();
        for number in 0..1001 {
            measures.content(number, Time::minims(9999));
        }
        assert_eq!(Grid::of(&measures), None);
    }

    #[test]
    fn around_a_time() {
        let mut measures = Measures::default();
        for number in [0, 2] {
            measures.content(number, Time::minims(4));
        }
        let grid = Grid::of(&measures).unwrap();
        assert_eq!(grid.around(Time::minims(3)), (Time::ZERO, Time::minims(4)));
        assert_eq!(grid.around(Time::minims(4)), (Time::minims(4), Time::minims(8)));
        assert_eq!(grid.around(Time::minims(8)), (Time::minims(8), Time::minims(8)));
    }
}
