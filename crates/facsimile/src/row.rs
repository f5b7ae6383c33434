//! What else a row of sorts may be: single changes of it, each with its odds against the row.

use image::GrayImage;

use crate::likelihood::Steps;
use crate::network::{Network, Odds};
use crate::reading::{Read, rows};
use crate::sort::{Kind, Sort};

/// What may stand there instead.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Instead {
    /// Another sort.
    Other(Sort),
    /// Nothing: the sort is one too many.
    Nothing,
    /// This sort besides, before the other.
    Before(Sort),
}

/// How else a row may be, at one place.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Change {
    /// The place in the row; its length for what may stand after all.
    pub place: usize,
    /// What may stand there instead.
    pub instead: Instead,
    /// How many times as likely the row is with it, as a natural logarithm.
    pub odds: f32,
}

impl Change {
    /// Whether it is one of the sort at a place, and not of one more beside it.
    fn is_of_sort(&self, place: usize) -> bool {
        self.place == place && !matches!(self.instead, Instead::Before(_))
    }
}

/// The sorts on a staff, and how else they may be.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Row {
    /// From left to right.
    pub sorts: Vec<Read>,
    /// By their places.
    pub changes: Vec<Change>,
}

/// The sorts on a staff that was laid out, from left to right; none on an empty one.
pub fn read(laid: &GrayImage, network: &Network) -> Row {
    Row::of(&network.odds(laid))
}

/// Sorts that are less likely than this wherever they may stand are not tried.
const LEAST: f32 = 0.002;

/// Of those that may stand in place of one, or between two, so many are tried: the likeliest.
const TRIED: usize = 5;

/// What is less likely than the row by more than this is not kept.
const KEPT: f32 = 8.0;

/// So often a row gives way to a likelier one.
const MOST_TURNS: usize = 40;

impl Row {
    /// The likeliest row by the odds of each step, with how else it may be.
    ///
    /// How likely a row is: the sum over all ways to read it step by step (A. Graves and others,
    /// "Connectionist Temporal Classification", ICML 2006, section 4.1).
    pub fn of(odds: &Odds) -> Row {
        let steps = Steps::of(odds);
        // One that is likely gives way to likelier ones.
        let mut row = Row { sorts: rows(odds), changes: Vec::new() };
        for _ in 0..MOST_TURNS {
            row.changes = changes(&steps, &row.sorts);
            let best = row.changes.iter().max_by(|a, b| a.odds.total_cmp(&b.odds)).copied();
            match best {
                Some(change) if change.odds > 0.0 => row.make(change, &steps),
                _ => break,
            }
        }
        row.changes.retain(|change| change.odds <= 0.0);
        row.trust();
        row
    }

    /// The row with some of its changes made, of which no two are at the same sort. Each stands with the odds
    /// against what it replaces, which becomes a change itself.
    #[must_use]
    pub fn with(mut self, mut made: Vec<Change>) -> Row {
        // From the right to the left, so that places stay; what belongs to the sort before comes before what
        // is to stand there besides.
        let follows = |sort: Sort| matches!(sort.kind, Kind::Dot | Kind::Corona | Kind::Signum);
        made.sort_by_key(|change| match change.instead {
            Instead::Before(sort) => (change.place, u8::from(!follows(sort))),
            Instead::Other(_) | Instead::Nothing => (change.place, 2),
        });
        for change in made.into_iter().rev() {
            self.turn(change);
        }
        self.trust();
        self
    }

    /// Makes one of the changes.
    fn turn(&mut self, change: Change) {
        let Change { place, instead, odds } = change;
        let back = |instead: Instead| Change { place, instead, odds: -odds };
        self.changes.retain(|other| (other.place, other.instead) != (place, instead));
        match instead {
            Instead::Other(sort) => {
                for other in self.changes.iter_mut().filter(|other| other.is_of_sort(place)) {
                    other.odds -= odds;
                }
                let Some(read) = self.sorts.get_mut(place) else { return };
                let was = std::mem::replace(&mut read.sort, sort);
                self.changes.push(back(Instead::Other(was)));
            }
            Instead::Nothing => {
                if place >= self.sorts.len() {
                    return;
                }
                let was = self.sorts.remove(place).sort;
                self.changes.retain(|other| !other.is_of_sort(place));
                for other in self.changes.iter_mut().filter(|other| other.place > place) {
                    other.place -= 1;
                }
                self.changes.push(back(Instead::Before(was)));
            }
            Instead::Before(sort) => {
                let at = place.checked_sub(1).and_then(|before| self.sorts.get(before));
                let at = at.map_or(0, |before| before.steps.end);
                self.sorts.insert(
                    place.min(self.sorts.len()),
                    Read { sort, confidence: 1.0, steps: at..at },
                );
                self.changes.retain(|other| other.place != place || other.is_of_sort(place));
                for other in self.changes.iter_mut().filter(|other| other.place >= place) {
                    other.place += 1;
                }
                self.changes.push(back(Instead::Nothing));
            }
        }
    }

    /// How likely each sort is, by the odds of what it may be instead.
    fn trust(&mut self) {
        for (place, read) in self.sorts.iter_mut().enumerate() {
            let others = self.changes.iter().filter(|change| change.is_of_sort(place));
            read.confidence = 1.0 / (1.0 + others.map(|change| change.odds.exp()).sum::<f32>());
        }
    }

    fn make(&mut self, change: Change, steps: &Steps) {
        match change.instead {
            Instead::Other(sort) => self.sorts[change.place].sort = sort,
            Instead::Nothing => drop(self.sorts.remove(change.place)),
            Instead::Before(sort) => {
                let between = between(&self.sorts, change.place, steps.len());
                let number = sort.number().unwrap_or(Sort::COUNT);
                let at = between
                    .max_by(|a, b| steps.likely(*a, number).total_cmp(&steps.likely(*b, number)));
                let at = at.unwrap_or(0);
                self.sorts.insert(change.place, Read { sort, confidence: 0.0, steps: at..at + 1 });
            }
        }
    }
}

/// The steps between the sort before a place of a row and the one at it.
fn between(sorts: &[Read], place: usize, length: usize) -> std::ops::Range<usize> {
    let from = place.checked_sub(1).map_or(0, |before| sorts[before].steps.end);
    let to = sorts.get(place).map_or(length, |next| next.steps.start);
    from..to.max(from)
}

/// All changes of a row that are worth trying, with their odds.
fn changes(steps: &Steps, sorts: &[Read]) -> Vec<Change> {
    let numbers: Vec<usize> = sorts.iter().filter_map(|read| read.sort.number()).collect();
    if numbers.len() != sorts.len() {
        return Vec::new();
    }
    let Some(all) = steps.likelihood(&numbers) else { return Vec::new() };
    let mut found = Vec::new();
    let mut take = |place: usize, instead: Instead, other: &[usize]| {
        let odds = steps.likelihood(other).map(|other| (other - all) as f32);
        found.extend(odds.filter(|odds| *odds > -KEPT).map(|odds| Change { place, instead, odds }));
    };
    for place in 0..=numbers.len() {
        for number in steps.likeliest(between(sorts, place, steps.len()), TRIED, LEAST) {
            let Some(sort) = Sort::numbered(number) else { continue };
            let mut other = numbers.clone();
            other.insert(place, number);
            take(place, Instead::Before(sort), &other);
        }
        let Some(read) = sorts.get(place) else { continue };
        // What is read there, and a step more on either side.
        let around = read.steps.start.saturating_sub(1)..(read.steps.end + 1).min(steps.len());
        for number in steps.likeliest(around, TRIED, LEAST) {
            let Some(sort) = Sort::numbered(number).filter(|sort| *sort != read.sort) else {
                continue;
            };
            let mut other = numbers.clone();
            other[place] = number;
            take(place, Instead::Other(sort), &other);
        }
        let mut other = numbers.clone();
        other.remove(place);
        take(place, Instead::Nothing, &other);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn odds(steps: &[&[(usize, f32)]]) -> Odds {
        Odds::of_parts(steps, 1e-6)
    }

    #[test]
    fn what_else_a_row_may_be() {
        let dot = Sort::of(Kind::Dot).number().unwrap();
        let none = Sort::COUNT;
        let odds = odds(&[
            &[(none, 1.0)],
            &[(3, 0.75), (4, 0.25)],
            &[(none, 1.0)],
            &[(none, 0.8), (dot, 0.2)],
            &[(none, 1.0)],
        ]);
        let row = Row::of(&odds);
        let [read] = row.sorts.as_slice() else { panic!("{row:?}") };
        assert_eq!(read.sort, Sort::numbered(3).unwrap());
        assert!((read.confidence - 0.75).abs() < 0.01, "{}", read.confidence);
        let odds_of = |instead: Instead, place: usize| {
            let is_it = |change: &&Change| (change.place, change.instead) == (place, instead);
            row.changes.iter().find(is_it).map(|change| change.odds.exp())
        };
        let other = odds_of(Instead::Other(Sort::numbered(4).unwrap()), 0).unwrap();
        assert!((other - 1.0 / 3.0).abs() < 0.01, "{other}");
        let dotted = odds_of(Instead::Before(Sort::of(Kind::Dot)), 1).unwrap();
        assert!((dotted - 0.25).abs() < 0.01, "{dotted}");
        assert_eq!(odds_of(Instead::Nothing, 0), None, "it is there for sure");
    }

    /// The likeliest path is not always that of the likeliest row (Graves and others, figure 2): here the
    /// same row has three paths.
    #[test]
    fn many_ways_to_read_a_row_count_together() {
        let none = Sort::COUNT;
        let odds = odds(&[&[(none, 0.6), (7, 0.4)], &[(none, 0.6), (7, 0.4)]]);
        assert_eq!(rows(&odds), []);
        let row = Row::of(&odds);
        assert_eq!(row.sorts.len(), 1, "0.64 against 0.36");
        assert!((row.sorts[0].confidence - 0.64).abs() < 0.01);
    }
}
