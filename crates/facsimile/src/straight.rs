//! A staff laid out straight: what is on it, and what is just above and below it.

use crate::level::{Ink, Level};
use crate::staff::{Staff, middle};

/// How many rows a space has.
pub(crate) const ROWS: usize = 4;

/// So many spaces above the middle line, and below it, are laid out.
pub(crate) const REACH: usize = 8;

/// The row of the middle line.
pub(crate) const MIDDLE: usize = REACH * ROWS;

/// A staff laid out straight.
pub(crate) struct Straight {
    /// Where its first column is, in pixels of the level; each column is one wide.
    left: f32,
    /// Columns of `2 * MIDDLE + 1` rows: how inky each is, from about 0, paper, to about 1, a line.
    columns: Vec<Vec<f32>>,
    space: f32,
}

impl Straight {
    /// A staff of a level.
    pub(crate) fn new(level: &Level, staff: &Staff, ink: Ink) -> Straight {
        let [left, right] = staff.ends();
        // A little more on either side: strips are wider than what they tell.
        let (left, right) = (left - 2.0 * staff.space, right + 2.0 * staff.space);
        let count = (right - left).ceil().max(1.0) as usize;
        let mut columns: Vec<Vec<f32>> = Vec::with_capacity(count);
        for column in 0..count {
            let x = left + column as f32;
            let y = staff.at(x);
            let step = staff.space / ROWS as f32;
            let rows = (0..=2 * MIDDLE).map(|row| {
                level.at(x, y + (row as f32 - MIDDLE as f32) * step, ink)
            });
            columns.push(rows.collect());
        }
        // The paper is what most of the rows near the staff are, over a few spaces to either side.
        let papers: Vec<f32> = columns.iter().map(|rows| quarter(&rows[ROWS..=2 * MIDDLE - ROWS])).collect();
        let reach = (3.0 * staff.space) as usize;
        let depth = staff.depth.max(1.0);
        let near = |place: usize| {
            let range = place.saturating_sub(reach)..(place + reach + 1).min(papers.len());
            middle(papers[range].to_vec()).unwrap_or(0.0)
        };
        let papers: Vec<f32> = (0..papers.len()).map(near).collect();
        for (rows, paper) in columns.iter_mut().zip(papers) {
            rows.iter_mut().for_each(|row| *row = (*row - paper) / depth);
        }
        Straight { left, columns, space: staff.space }
    }

    /// How clear the five lines are in a column: 1 for whole lines on white.
    fn lines(rows: &[f32]) -> f32 {
        let line = |place: usize| {
            let line = rows[place - 1].max(rows[place]).max(rows[place + 1]);
            let beside = (rows[place - ROWS / 2] + rows[place + ROWS / 2]) / 2.0;
            (line - beside).clamp(-0.5, 1.0)
        };
        (0..5).map(|number| line(MIDDLE + number * ROWS - 2 * ROWS)).sum::<f32>() / 5.0
    }

    /// Where its lines begin and end, in pixels of the level.
    pub(crate) fn ends(&self) -> [f32; 2] {
        let clear: Vec<f32> = self.columns.iter().map(|rows| Self::lines(rows)).collect();
        let width = (1.5 * self.space).ceil() as usize;
        let half = 0.45 * middle(clear.clone()).unwrap_or(0.0);
        let is_staff = |run: &[f32]| run.iter().sum::<f32>() >= half * run.len() as f32;
        let first = clear.windows(width).position(is_staff).unwrap_or(0);
        let last = clear.windows(width).rposition(is_staff).map_or(clear.len(), |last| last + width);
        [self.left + first as f32, self.left + last as f32]
    }

    /// What part of the staff between two places has ink in its spaces: next to nothing where no music
    /// is printed on it.
    pub(crate) fn filled(&self, [left, right]: [f32; 2]) -> f32 {
        let place = |x: f32| ((x - self.left).max(0.0) as usize).min(self.columns.len());
        // Its edges may be those of the type, and the rules of a frame.
        let (from, to) = (place(left + self.space), place(right - self.space));
        let inky = |rows: &Vec<f32>| {
            let gaps = (0..4).map(|gap| MIDDLE + gap * ROWS - 2 * ROWS + ROWS / 2);
            gaps.filter(|&row| rows[row] > 0.5).count() > 0
        };
        let columns = &self.columns[from.min(to)..to];
        columns.iter().filter(|rows| inky(rows)).count() as f32 / columns.len().max(1) as f32
    }

    /// How much ink each row has between two places.
    pub(crate) fn rows(&self, [left, right]: [f32; 2]) -> Vec<f32> {
        let place = |x: f32| ((x - self.left).max(0.0) as usize).min(self.columns.len());
        let columns = &self.columns[place(left).min(place(right))..place(right)];
        let mut rows = vec![0.0; 2 * MIDDLE + 1];
        for column in columns {
            for (sum, inky) in rows.iter_mut().zip(column) {
                *sum += inky.clamp(0.0, 1.0);
            }
        }
        rows
    }
}

/// A fourth of some numbers is smaller.
fn quarter(numbers: &[f32]) -> f32 {
    let mut numbers = numbers.to_vec();
    let place = numbers.len() / 4;
    if numbers.is_empty() { 0.0 } else { *numbers.select_nth_unstable_by(place, f32::total_cmp).1 }
}
