//! A staff laid out straight: what is on it, and what is just above and below it.

use crate::level::{Ink, Level};
use crate::staff::{Staff, middle};

/// How many rows a space has.
pub(crate) const ROWS: usize = 4;

/// So many spaces above the middle line, and below it, are laid out.
pub(crate) const REACH: usize = 8;

/// The row of the middle line.
pub(crate) const MIDDLE: usize = REACH * ROWS;

/// The rows of the five lines.
const LINES: [usize; 5] =
    [MIDDLE - 2 * ROWS, MIDDLE - ROWS, MIDDLE, MIDDLE + ROWS, MIDDLE + 2 * ROWS];

/// The rows in the middle of the four spaces.
const GAPS: [usize; 4] = [
    MIDDLE - 3 * ROWS / 2,
    MIDDLE - ROWS / 2,
    MIDDLE + ROWS / 2,
    MIDDLE + 3 * ROWS / 2,
];

/// What is as inky as this is ink.
const HALF_INKY: f32 = 0.48;

/// What covers so much of a place is a head, not a stain or the ornament on the back of the leaf.
const FULL: f32 = 0.75;

/// In more than this part of a staff each of its lines is seen; of the madrigals' staves it is 0.9 at
/// least, of rows of ornaments 0.8 at most.
const UNBROKEN: f32 = 0.5;

/// In more than this part of a staff there is nothing in its spaces; of the madrigals' staves it is 0.3 at
/// least, of rows of ornaments 0.14 at most.
const WHITE: f32 = 0.2;

/// A staff laid out straight.
pub(crate) struct Straight {
    /// Where its first column is, in pixels of the level in which it was found.
    left: f32,
    /// How many columns a pixel of that level has.
    finer: f32,
    /// Columns of `2 * MIDDLE + 1` rows: how inky each is, from about 0, paper, to about 1, a line.
    columns: Vec<Vec<f32>>,
    /// The distance of two lines, in columns.
    space: f32,
    /// How inky the middle of a line is, there being finer rows here than where it was found.
    black: f32,
}

impl Straight {
    /// A staff found in a level, taken from another that may be finer.
    pub(crate) fn new(fine: &Level, level: &Level, staff: &Staff, ink: Ink) -> Straight {
        let finer = (level.scale / fine.scale) as f32;
        let [left, right] = staff.ends();
        // A little more on either side: strips are wider than what they tell.
        let (left, right) = (left - 2.0 * staff.space, right + 2.0 * staff.space);
        let count = ((right - left) * finer).ceil().max(1.0) as usize;
        let mut columns: Vec<Vec<f32>> = Vec::with_capacity(count);
        // A pixel is a square, and its place the middle of it.
        let there = |place: f32| (place + 0.5) * finer - 0.5;
        for column in 0..count {
            let x = left + column as f32 / finer;
            let y = staff.at(x);
            let step = staff.space / ROWS as f32;
            let rows = (0..=2 * MIDDLE).map(|row| {
                let y = y + (row as f32 - MIDDLE as f32) * step;
                fine.at(there(x), there(y), ink)
            });
            columns.push(rows.collect());
        }
        let space = staff.space * finer;
        // The paper is the whitest fourth of the rows of the staff, over a few spaces to either side.
        let around = MIDDLE - 3 * ROWS..=MIDDLE + 3 * ROWS;
        let papers: Vec<f32> = columns.iter().map(|rows| quarter(&rows[around.clone()])).collect();
        let reach = (3.0 * space) as usize;
        let near = |place: usize| {
            let range = place.saturating_sub(reach)..(place + reach + 1).min(papers.len());
            middle(papers[range].to_vec()).unwrap_or(0.0)
        };
        let papers: Vec<f32> = (0..papers.len()).map(near).collect();
        let depth = staff.depth.max(1.0);
        for (rows, paper) in columns.iter_mut().zip(papers) {
            rows.iter_mut().for_each(|row| *row = (*row - paper) / depth);
        }
        let peaks = columns.iter().flat_map(|rows| LINES.map(|line| peak(rows, line)));
        let black = middle(peaks.collect()).unwrap_or(0.0).max(0.5);
        Straight { left, finer, columns, space, black }
    }

    /// How clear the five lines are in a column: 1 for whole lines on white.
    fn lines(rows: &[f32]) -> f32 {
        let clear = LINES.map(|line| {
            let beside = (rows[line - ROWS / 2] + rows[line + ROWS / 2]) / 2.0;
            (peak(rows, line) - beside).clamp(-0.5, 1.0)
        });
        clear.iter().sum::<f32>() / 5.0
    }

    /// Where its lines begin and end, in pixels of the level.
    pub(crate) fn ends(&self) -> [f32; 2] {
        let clear: Vec<f32> = self.columns.iter().map(|rows| Self::lines(rows)).collect();
        let width = (1.5 * self.space).ceil() as usize;
        let half = 0.45 * middle(clear.clone()).unwrap_or(0.0);
        let is_staff = |run: &[f32]| run.iter().sum::<f32>() >= half * run.len() as f32;
        let first = clear.windows(width).position(is_staff).unwrap_or(0);
        let last = clear.windows(width).rposition(is_staff).map_or(clear.len(), |last| last + width);
        [first, last].map(|place| self.left + place as f32 / self.finer)
    }

    /// Whether it is a staff indeed: its lines go through, and there is paper between them. A row of
    /// ornaments has neither.
    pub(crate) fn is_staff(&self, ends: [f32; 2]) -> bool {
        let columns = self.inside(ends);
        let part = |count: usize| count as f32 / columns.len().max(1) as f32;
        let unbroken =
            |line| part(columns.iter().filter(|rows| peak(rows, line) > HALF_INKY).count());
        let is_white = |rows: &&Vec<f32>| GAPS.iter().all(|&row| rows[row] < HALF_INKY);
        LINES.iter().all(|&line| unbroken(line) > UNBROKEN)
            && part(columns.iter().filter(is_white).count()) > WHITE
    }

    /// What part of the fullest few spaces has something as large as half a head between the lines:
    /// next to nothing where no music is printed. Specks are everywhere, but nowhere close together.
    pub(crate) fn fullest(&self, ends: [f32; 2]) -> f32 {
        let columns = self.inside(ends);
        let head = (0.7 * self.space).round().max(1.0) as usize;
        let is_full = |run: &[Vec<f32>]| {
            let ink = |row: usize| run.iter().map(|rows| (rows[row] / self.black).clamp(0.0, 1.0)).sum::<f32>();
            GAPS.iter().any(|&row| ink(row) > FULL * run.len() as f32)
        };
        let full: Vec<bool> = columns.windows(head).map(is_full).collect();
        let few = ((8.0 * self.space) as usize).clamp(1, full.len().max(1));
        let most = full.windows(few).map(|run| run.iter().filter(|full| **full).count()).max();
        most.unwrap_or(0) as f32 / few as f32
    }

    /// The columns between two places, but for a space at either end: the rules of a frame may stand
    /// there.
    fn inside(&self, [left, right]: [f32; 2]) -> &[Vec<f32>] {
        let space = self.space.ceil() as usize;
        let (from, to) = (self.place(left) + space, self.place(right).saturating_sub(space));
        &self.columns[from.min(to)..to]
    }

    /// The column of a place.
    fn place(&self, x: f32) -> usize {
        (((x - self.left) * self.finer).max(0.0) as usize).min(self.columns.len())
    }

    /// How much ink each row has between two places.
    pub(crate) fn rows(&self, [left, right]: [f32; 2]) -> Vec<f32> {
        let (from, to) = (self.place(left), self.place(right));
        let columns = &self.columns[from.min(to)..to];
        let mut rows = vec![0.0; 2 * MIDDLE + 1];
        for column in columns {
            for (sum, inky) in rows.iter_mut().zip(column) {
                *sum += inky.clamp(0.0, 1.0);
            }
        }
        rows
    }
}

/// How inky a line is, which may be a row off.
fn peak(rows: &[f32], line: usize) -> f32 {
    rows[line - 1].max(rows[line]).max(rows[line + 1])
}

/// A fourth of some numbers is smaller.
fn quarter(numbers: &[f32]) -> f32 {
    let mut numbers = numbers.to_vec();
    let place = numbers.len() / 4;
    if numbers.is_empty() { 0.0 } else { *numbers.select_nth_unstable_by(place, f32::total_cmp).1 }
}
