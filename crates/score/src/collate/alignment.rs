//! Which element of one voice is which of another: the alignment of least cost.
//!
//! A changed element costs what it differs in, a gap (something left out, or added) costs the more to
//! open it and a little for each element. Costs are followed from none upwards, each with the farthest
//! place that it reaches on every diagonal, so that voices that are alike take no longer than reading
//! them (the wavefront algorithm: Marco-Sola, Moure, Moreto, Espinosa, "Fast gap-affine pairwise
//! alignment using the wavefront algorithm", Bioinformatics 37, 2021; that a farther place on a diagonal
//! is never worse holds for any costs of changed elements).
//!
//! Long voices are aligned piece by piece. After [`SETTLED`] equal elements what lies before is settled.
//! Where the cost of a piece grows beyond [`MOST`], what goes together for long enough is kept; where nothing
//! is, the next stretch of pitches that both voices have only once is looked for, and all before it is
//! one passage that has too little in common to be compared.

use std::collections::HashMap;
use std::ops::Range;

use super::element::{Element, MOST_COST};

/// What it costs to leave something out or to add it, and each element of that.
const OPEN: u32 = 8;
const EXTEND: u32 = 1;

/// After so many equal elements the alignment before them is settled.
const SETTLED: u32 = 128;

/// A piece whose cost grows beyond this is kept as far as it is good.
const MOST: u32 = 1000;

/// So many equal elements show that the alignment before them is good.
const GOOD: usize = 16;

/// The cost of an element of another pitch, or of another value: a long stretch of these goes together
/// too, as where a voice was typed under a wrong clef or after a wrong value word.
const ALIKE: u32 = 2;

/// So many places are looked at in all voices before pieces become shorter: what has nothing in common is
/// not worth more (about a second).
pub(super) const BUDGET: usize = 10_000_000;

/// How far the cost of a piece may grow after that.
const LITTLE: u32 = 48;

/// So many pitches in a row make a stretch by which voices find each other again.
const STRETCH: usize = 8;

/// A column of an alignment.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Column {
    /// An element of the left voice stands for one of the right.
    Both(usize, usize),
    /// Only the left voice has this.
    Left(usize),
    /// Only the right voice has this.
    Right(usize),
    /// Passages that have too little in common.
    Passage(Range<usize>, Range<usize>),
}

/// The alignment of two voices; `budget` is what is left of [`BUDGET`].
pub(super) fn align(
    left: &[Element<'_>],
    right: &[Element<'_>],
    budget: &mut usize,
) -> Vec<Column> {
    let mut columns = Vec::with_capacity(left.len().max(right.len()));
    let (mut i, mut j) = (0, 0);
    let mut meetings = Meetings::default();
    while i < left.len() && j < right.len() {
        if *budget == 0 && meetings.next(left, right, (i, j)).is_none() {
            let run = alike_run(&left[i..], &right[j..]);
            if run >= GOOD {
                columns.extend((i..i + run).zip(j..j + run).map(|(i, j)| Column::Both(i, j)));
                (i, j) = (i + run, j + run);
                continue;
            }
        }
        let most = if *budget > 0 { MOST } else { LITTLE };
        let mut waves = Waves::new(&left[i..], &right[j..], most);
        let stuck = !waves.follow();
        *budget = budget.saturating_sub(waves.looked_at);
        let mut piece = waves.columns();
        if stuck {
            let good = match waves.good(&piece, 0) {
                // Where nothing is equal any more, equal values or equal pitches will do.
                0 if meetings.next(left, right, (i, j)).is_none() => waves.good(&piece, ALIKE),
                good => good,
            };
            piece.truncate(good);
        }
        for column in &mut piece {
            match column {
                Column::Both(here, there) => (*here, *there) = (*here + i, *there + j),
                Column::Left(here) => *here += i,
                Column::Right(there) => *there += j,
                Column::Passage(..) => {}
            }
        }
        if piece.is_empty() {
            while i < left.len() && j < right.len() && left[i].same(&right[j]) {
                columns.push(Column::Both(i, j));
                (i, j) = (i + 1, j + 1);
            }
            let next = meetings.next(left, right, (i, j));
            // It cannot go back to where it is, as that differs.
            let (mut here, mut there) = next.unwrap_or((left.len(), right.len()));
            while here > i && there > j && left[here - 1].same(&right[there - 1]) {
                (here, there) = (here - 1, there - 1);
            }
            if here - i == there - j && alike(&left[i..here], &right[j..there]) {
                columns.extend((i..here).zip(j..there).map(|(i, j)| Column::Both(i, j)));
            } else {
                passage(&mut columns, i..here, j..there);
            }
            (i, j) = (here, there);
            continue;
        }
        for column in &piece {
            match column {
                Column::Both(here, there) => (i, j) = (here + 1, there + 1),
                Column::Left(here) => i = here + 1,
                Column::Right(there) => j = there + 1,
                Column::Passage(..) => {}
            }
        }
        columns.append(&mut piece);
    }
    passage(&mut columns, i..left.len(), j..right.len());
    columns
}

/// How many elements from the beginning, one by one, differ in no more than their pitch or their value.
fn alike_run(left: &[Element<'_>], right: &[Element<'_>]) -> usize {
    let alike = |(left, right): &(&Element<'_>, &Element<'_>)| {
        left.differs(right).is_some_and(|differs| differs.cost() <= ALIKE)
    };
    left.iter().zip(right).take_while(alike).count()
}

/// Whether three of four elements, one by one, differ in no more than their pitch or their value.
fn alike(left: &[Element<'_>], right: &[Element<'_>]) -> bool {
    let mut pairs = left.iter().zip(right).map(|(left, right)| left.differs(right));
    let alike = pairs.clone().flatten().filter(|differs| differs.cost() <= ALIKE).count();
    pairs.all(|differs| differs.is_some()) && 4 * alike >= 3 * left.len()
}

/// A stretch of both voices that is not compared further; of one alone, what the other lacks.
fn passage(columns: &mut Vec<Column>, left: Range<usize>, right: Range<usize>) {
    if left.is_empty() {
        columns.extend(right.map(Column::Right));
    } else if right.is_empty() {
        columns.extend(left.map(Column::Left));
    } else {
        columns.push(Column::Passage(left, right));
    }
}

/// Where two voices meet again, once that is asked.
#[derive(Default)]
struct Meetings(Option<Vec<(usize, usize)>>);

impl Meetings {
    /// The first behind a place.
    fn next(
        &mut self,
        left: &[Element<'_>],
        right: &[Element<'_>],
        (i, j): (usize, usize),
    ) -> Option<(usize, usize)> {
        let all = self.0.get_or_insert_with(|| stretches(left, right));
        let next = all.partition_point(|(here, there)| *here <= i || *there <= j);
        all.get(next).copied()
    }
}

/// Where stretches of pitches begin that both voices have, and only once, in the order of both.
fn stretches(left: &[Element<'_>], right: &[Element<'_>]) -> Vec<(usize, usize)> {
    let hashes = |elements: &[Element<'_>]| -> Vec<u64> {
        let melody: Vec<u64> = elements.iter().map(Element::melody).collect();
        melody
            .windows(STRETCH)
            .map(|stretch| {
                stretch.iter().fold(0, |hash: u64, one| hash.rotate_left(7).wrapping_mul(31) ^ one)
            })
            .collect()
    };
    let (here, there) = (hashes(left), hashes(right));
    let once = |hashes: &[u64]| {
        let mut places: HashMap<u64, Option<usize>> = HashMap::with_capacity(hashes.len());
        for (place, hash) in hashes.iter().enumerate() {
            places.entry(*hash).and_modify(|found| *found = None).or_insert(Some(place));
        }
        places
    };
    let (once_here, once_there) = (once(&here), once(&there));
    let pairs = here.iter().enumerate().filter_map(|(place, hash)| {
        once_here.get(hash)?.as_ref()?;
        Some((place, (*once_there.get(hash)?)?))
    });
    longest_rising(&pairs.collect::<Vec<(usize, usize)>>())
}

/// The longest list of pairs in the order of both; they are in the order of the first.
fn longest_rising(pairs: &[(usize, usize)]) -> Vec<(usize, usize)> {
    // The last pair of the best list of each length, and the pair before each.
    let mut ends: Vec<usize> = Vec::new();
    let mut before: Vec<Option<usize>> = Vec::with_capacity(pairs.len());
    for (place, (_, there)) in pairs.iter().enumerate() {
        let length = ends.partition_point(|end| pairs[*end].1 < *there);
        before.push(length.checked_sub(1).map(|shorter| ends[shorter]));
        if length == ends.len() {
            ends.push(place);
        } else {
            ends[length] = place;
        }
    }
    let mut list = Vec::with_capacity(ends.len());
    let mut next = ends.last().copied();
    while let Some(place) = next {
        list.push(pairs[place]);
        next = before[place];
    }
    list.reverse();
    list
}

const NOWHERE: u32 = u32::MAX;

/// How far a cost reaches on a diagonal, as the number of left elements that are behind.
#[derive(Clone, Copy, Debug)]
struct Cell {
    /// With an element of both last, or at the beginning; equal ones that follow included.
    both: u32,
    /// With one of the right voice alone last.
    right: u32,
    /// With one of the left voice alone last.
    left: u32,
    /// What it costs to go on to the next of both; nothing where that cannot be.
    next: u8,
    /// Whence `both` was reached, before equal ones.
    from: From,
    /// Whether the gap of `right`, or of `left`, was opened just there.
    opened: [bool; 2],
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum From {
    Beginning,
    /// A changed element of this cost.
    Changed(u8),
    Right,
    Left,
}

const EMPTY: Cell = Cell {
    both: NOWHERE,
    right: NOWHERE,
    left: NOWHERE,
    next: 0,
    from: From::Beginning,
    opened: [false; 2],
};

/// All that is reached at one cost: a cell for each diagonal from the lowest on. A diagonal is the
/// number of right elements behind less that of left ones.
struct Wave {
    lowest: i64,
    cells: Vec<Cell>,
}

struct Waves<'a, 's> {
    left: &'a [Element<'s>],
    right: &'a [Element<'s>],
    /// By cost.
    reach: Vec<Wave>,
    /// The farthest that any smaller cost reached, on each diagonal from `-most` on.
    reached: Vec<u32>,
    most: u32,
    /// The cost and diagonal of the end, or else of the farthest place.
    end: (usize, i64),
    looked_at: usize,
}

impl<'a, 's> Waves<'a, 's> {
    /// The costs up to `most` are to be followed.
    fn new(left: &'a [Element<'s>], right: &'a [Element<'s>], most: u32) -> Self {
        let reached = vec![NOWHERE; 2 * most as usize + 1];
        Waves { left, right, reach: Vec::new(), reached, most, end: (0, 0), looked_at: 0 }
    }

    fn cell(&self, cost: usize, less: u32, diagonal: i64) -> Cell {
        let wave = cost.checked_sub(less as usize).and_then(|cost| self.reach.get(cost));
        let cell = wave.and_then(|wave| {
            wave.cells.get(usize::try_from(diagonal - wave.lowest).ok()?).copied()
        });
        cell.unwrap_or(EMPTY)
    }

    /// Follows the costs upwards to the end, or to where all before is settled. Whether that is
    /// reached before the cost is too high.
    fn follow(&mut self) -> bool {
        let (lefts, rights) = (self.left.len() as i64, self.right.len() as i64);
        let mut farthest = -1;
        for cost in 0..=self.most as usize {
            let wide = (cost as i64 - OPEN as i64).max(0) / EXTEND as i64;
            let (lowest, highest) = ((-wide).max(-lefts), wide.min(rights));
            let mut cells = Vec::with_capacity((highest - lowest + 1) as usize);
            for diagonal in lowest..=highest {
                let (cell, run) = self.reach(cost, diagonal);
                cells.push(cell);
                if cell.both == NOWHERE {
                    continue;
                }
                let here = cell.both as i64;
                let done = here == lefts && here + diagonal == rights;
                if 2 * here + diagonal > farthest || done {
                    farthest = 2 * here + diagonal;
                    self.end = (cost, diagonal);
                }
                if done || run >= SETTLED {
                    self.end = (cost, diagonal);
                    self.reach.push(Wave { lowest, cells });
                    return true;
                }
            }
            self.looked_at += cells.len();
            self.reach.push(Wave { lowest, cells });
        }
        false
    }

    /// What a cost reaches on a diagonal, and how many equal elements that was last.
    fn reach(&mut self, cost: usize, diagonal: i64) -> (Cell, u32) {
        let mut cell = EMPTY;
        let inside = |here: u32| {
            let there = i64::from(here) + diagonal;
            here as usize <= self.left.len() && (0..=self.right.len() as i64).contains(&there)
        };
        let on = |here: u32| if here == NOWHERE { NOWHERE } else { here + 1 };
        // The farther of two places, and whether it is the first.
        let farther = |one: u32, other: u32| match (one, other) {
            (NOWHERE, _) => (other, false),
            (_, NOWHERE) => (one, true),
            _ => (one.max(other), one >= other),
        };
        let opening = OPEN + EXTEND;
        let (right, opened) = farther(
            self.cell(cost, opening, diagonal - 1).both,
            self.cell(cost, EXTEND, diagonal - 1).right,
        );
        if right != NOWHERE && inside(right) {
            (cell.right, cell.opened[0]) = (right, opened);
        }
        let (left, opened) = farther(
            on(self.cell(cost, opening, diagonal + 1).both),
            on(self.cell(cost, EXTEND, diagonal + 1).left),
        );
        if left != NOWHERE && inside(left) {
            (cell.left, cell.opened[1]) = (left, opened);
        }
        let mut best = if cost == 0 && diagonal == 0 { 0 } else { NOWHERE };
        let mut take = |there: u32, from: From| {
            if there != NOWHERE && (best == NOWHERE || there > best) {
                (best, cell.from) = (there, from);
            }
        };
        for less in 1..=MOST_COST {
            let before = self.cell(cost, less, diagonal);
            if u32::from(before.next) == less {
                take(on(before.both), From::Changed(before.next));
            }
        }
        take(cell.left, From::Left);
        take(cell.right, From::Right);
        // What a smaller cost reached already is not worth following.
        let place = (diagonal + self.most as i64) as usize;
        let reached = self.reached[place];
        if best == NOWHERE || (reached != NOWHERE && best <= reached) {
            return (cell, 0);
        }
        let mut here = best as usize;
        let mut there = (best as i64 + diagonal) as usize;
        while here < self.left.len()
            && there < self.right.len()
            && self.left[here].same(&self.right[there])
        {
            (here, there) = (here + 1, there + 1);
        }
        cell.both = here as u32;
        self.reached[place] = cell.both;
        if let (Some(left), Some(right)) = (self.left.get(here), self.right.get(there)) {
            cell.next = left.differs(right).map_or(0, |differs| differs.cost() as u8);
        }
        (cell, here as u32 - best)
    }

    /// The columns up to the end.
    fn columns(&self) -> Vec<Column> {
        let mut columns = Vec::new();
        let (mut cost, mut diagonal) = self.end;
        let both = |columns: &mut Vec<Column>, from: u32, to: u32, diagonal: i64| {
            let pair = |here: u32| Column::Both(here as usize, (here as i64 + diagonal) as usize);
            columns.extend((from..to).rev().map(pair));
        };
        loop {
            let cell = self.cell(cost, 0, diagonal);
            let mut gap = match cell.from {
                From::Beginning => {
                    both(&mut columns, 0, cell.both, diagonal);
                    break;
                }
                From::Changed(less) => {
                    cost -= less as usize;
                    let before = self.cell(cost, 0, diagonal).both;
                    both(&mut columns, before, cell.both, diagonal);
                    continue;
                }
                From::Right => {
                    both(&mut columns, cell.right, cell.both, diagonal);
                    From::Right
                }
                From::Left => {
                    both(&mut columns, cell.left, cell.both, diagonal);
                    From::Left
                }
            };
            while gap != From::Beginning {
                let cell = self.cell(cost, 0, diagonal);
                let opened = if gap == From::Right {
                    columns.push(Column::Right((cell.right as i64 + diagonal) as usize - 1));
                    diagonal -= 1;
                    cell.opened[0]
                } else {
                    columns.push(Column::Left(cell.left as usize - 1));
                    diagonal += 1;
                    cell.opened[1]
                };
                cost -= if opened { OPEN + EXTEND } else { EXTEND } as usize;
                if opened {
                    gap = From::Beginning;
                }
            }
        }
        columns.reverse();
        columns
    }

    /// How many columns are good: up to the end of the last long run of elements that cost no more than
    /// `most` each.
    fn good(&self, columns: &[Column], most: u32) -> usize {
        let (mut good, mut run) = (0, 0);
        for (place, column) in columns.iter().enumerate() {
            let alike = match column {
                Column::Both(here, there) => self.left[*here].differs(&self.right[*there]),
                _ => None,
            };
            let alike = alike.is_some_and(|differs| differs.cost() <= most);
            run = if alike { run + 1 } else { 0 };
            if run >= GOOD {
                good = place + 1;
            }
        }
        good
    }
}

#[cfg(test)]
mod tests;
