//! A staff laid out straight: what is on it, and what is just above and below it.

use crate::level::{Ink, Level};
use crate::staff::{Staff, middle};

/// How many rows a space has.
pub(crate) const ROWS: usize = 4;

/// So many spaces above the middle line, and below it, are laid out.
pub(crate) const REACH: usize = 8;

/// So many spaces are laid out beyond the ends where a staff was seen.
const BEYOND: f32 = 12.0;

/// The row of the middle line.
pub(crate) const MIDDLE: usize = REACH * ROWS;

/// The rows of the five lines.
const LINES: [usize; 5] =
    [MIDDLE - 2 * ROWS, MIDDLE - ROWS, MIDDLE, MIDDLE + ROWS, MIDDLE + 2 * ROWS];

/// The rows in the middle of the four spaces.
const GAPS: [usize; 4] =
    [MIDDLE - 3 * ROWS / 2, MIDDLE - ROWS / 2, MIDDLE + ROWS / 2, MIDDLE + 3 * ROWS / 2];

/// What is as inky as this is ink.
const HALF_INKY: f32 = 0.48;

/// What covers so much of a place is a head, not a stain or the ornament on the back of the leaf.
const FULL: f32 = 0.75;

/// What covers so much of a place may be that.
const HALF_FULL: f32 = 0.6;

/// By so much more of a staff has ink in the place of its faintest line than in a space. Of the
/// madrigals' staves it is more than 0.3, of the ornaments beside them less than 0.1.
const THROUGH: f32 = 0.2;

/// The same for lines that are perhaps a row off, as thin ones may be: at most 0.5 for ornaments and words, more
/// than 0.8 for staves of thin lines.
const THROUGH_NEARLY: f32 = 0.7;

/// A staff laid out straight.
pub(crate) struct Straight {
    /// Where its first column is, in pixels of the level in which it was found.
    left: f32,
    /// Where the staff was seen to begin and end, in the same pixels.
    seen: [f32; 2],
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
        let seen = staff.ends();
        let (left, right) = (seen[0] - BEYOND * staff.space, seen[1] + BEYOND * staff.space);
        let count = ((right - left) * finer).ceil().max(1.0) as usize;
        let mut columns: Vec<Vec<f32>> = Vec::with_capacity(count);
        // A pixel is a square, and its place the middle of it.
        let there = |place: f32| (place + 0.5) * finer - 0.5;
        let step = staff.space / ROWS as f32;
        // The mean over a row, so that thin lines are seen wherever they lie in it.
        let count_in_row = (step * finer).round().max(2.0);
        let offs: Vec<f32> = (0..count_in_row as usize)
            .map(|at| step * ((at as f32 + 0.5) / count_in_row - 0.5))
            .collect();
        for column in 0..count {
            let x = left + column as f32 / finer;
            let y = staff.at(x);
            let rows = (0..=2 * MIDDLE).map(|row| {
                let y = y + (row as f32 - MIDDLE as f32) * step;
                let at = |off: &f32| fine.at(there(x), there(y + off), ink);
                offs.iter().map(at).sum::<f32>() / count_in_row
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
            for row in rows {
                *row = (*row - paper) / depth;
            }
        }
        let peaks = columns.iter().flat_map(|rows| LINES.map(|line| peak(rows, line)));
        let black = middle(peaks.collect()).unwrap_or(0.0).max(0.5);
        Straight { left, seen, finer, columns, space, black }
    }

    /// Where its lines begin and end, in pixels of the level: from where its end was seen outwards as
    /// long as there are lines, or else inwards until there are some. Clefs and close heads hide lines
    /// from a mean, but not the ink in their places.
    pub(crate) fn ends(&self) -> [f32; 2] {
        let marks = |rows: &Vec<f32>| {
            let lines = LINES.iter().filter(|&&line| peak(rows, line) > HALF_INKY).count();
            let gaps = GAPS.iter().filter(|&&gap| rows[gap] > HALF_INKY).count();
            if lines < 4 {
                Column::Bare
            } else if gaps <= 2 {
                Column::Lined
            } else {
                Column::Full
            }
        };
        let columns: Vec<Column> = self.columns.iter().map(marks).collect();
        let [left, right] = self.seen.map(|x| self.place(x));
        let width = (4.0 * self.space).ceil() as usize;
        let mirrored: Vec<Column> = columns.iter().rev().copied().collect();
        let count = columns.len();
        let first = count - last(&mirrored, count - left, width);
        let last = last(&columns, right, width);
        [first, last].map(|place| self.left + place as f32 / self.finer)
    }

    /// Whether it is a staff indeed: its lines go through, if perhaps a row off, and its spaces are mostly
    /// free. A row of ornaments has neither.
    pub(crate) fn is_staff(&self, ends: [f32; 2]) -> bool {
        let columns = self.inside(ends);
        let part = |count: usize| count as f32 / columns.len().max(1) as f32;
        let least = |is_there: &dyn Fn(&[f32], usize) -> bool| {
            let through =
                |line: usize| part(columns.iter().filter(|rows| is_there(rows, line)).count());
            LINES.map(through).into_iter().fold(1.0, f32::min)
        };
        let filled = part(self.filled(columns, HALF_FULL).filter(|filled| *filled).count());
        let in_place = least(&|rows, line| rows[line] > HALF_INKY);
        let near = least(&|rows, line| peak(rows, line) > HALF_INKY);
        in_place - filled > THROUGH || near - filled > THROUGH_NEARLY
    }

    /// What part of the fullest few spaces has something as large as half a head between the lines:
    /// next to nothing where no music is printed. Specks are everywhere, but nowhere close together.
    pub(crate) fn fullest(&self, ends: [f32; 2]) -> f32 {
        let full: Vec<bool> = self.filled(self.inside(ends), FULL).collect();
        let few = ((8.0 * self.space) as usize).clamp(1, full.len().max(1));
        let most = full.windows(few).map(|run| run.iter().filter(|full| **full).count()).max();
        most.unwrap_or(0) as f32 / few as f32
    }

    /// How many upright strokes, two spaces long, stand on the staff: stems, and those of clefs. White
    /// heads of thin lines fill no space, but they have stems.
    pub(crate) fn strokes(&self, ends: [f32; 2]) -> usize {
        let is_stroke = |rows: &Vec<f32>| {
            let staff = &rows[LINES[0]..=LINES[4]];
            let inky = |run: &[f32]| run.iter().all(|row| *row > HALF_FULL * self.black);
            staff.windows(2 * ROWS + 1).any(inky)
        };
        let strokes: Vec<bool> = self.inside(ends).iter().map(is_stroke).collect();
        let thin = self.space.ceil() as usize;
        let runs = strokes.chunk_by(|one, next| one == next);
        runs.filter(|run| run[0] && run.len() <= thin).count()
    }

    /// In what part of the columns there is ink in any of the spaces.
    pub(crate) fn inked(&self, ends: [f32; 2]) -> f32 {
        let columns = self.inside(ends);
        let is_inked =
            |rows: &&Vec<f32>| GAPS.iter().any(|&row| rows[row] > HALF_FULL * self.black);
        columns.iter().filter(is_inked).count() as f32 / columns.len().max(1) as f32
    }

    /// Place by place, whether one of the spaces has so much ink over the width of half a head.
    fn filled(&self, columns: &[Vec<f32>], full: f32) -> impl Iterator<Item = bool> {
        let head = (0.7 * self.space).round().max(1.0) as usize;
        columns.windows(head).map(move |run| {
            let black = |rows: &Vec<f32>, row: usize| (rows[row] / self.black).clamp(0.0, 1.0);
            let ink = |row: usize| run.iter().map(|rows| black(rows, row)).sum::<f32>();
            GAPS.iter().any(|&row| ink(row) > full * run.len() as f32)
        })
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

/// What is in a column.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Column {
    /// No lines.
    Bare,
    /// Lines, and paper between them.
    Lined,
    /// Ink in the place of lines, and between them.
    Full,
}

/// The place after the last column with lines, seen from a place near the end: outwards as long as most
/// columns over a width have them, or else inwards. What is full throughout is an initial or the table
/// beneath the book.
fn last(columns: &[Column], near: usize, width: usize) -> usize {
    let is_staff = |end: usize| {
        let run = &columns[end.saturating_sub(width)..end];
        let bare = run.iter().filter(|column| **column == Column::Bare).count();
        let lined = run.iter().filter(|column| **column == Column::Lined).count();
        5 * bare < 2 * width && 4 * lined >= width
    };
    let mut end = near.clamp(width.min(columns.len()), columns.len());
    if is_staff(end) {
        while end < columns.len() && is_staff(end + 1) {
            end += 1;
        }
    } else {
        while end > width && !is_staff(end) {
            end -= 1;
        }
    }
    columns[..end].iter().rposition(|column| *column != Column::Bare).map_or(end, |last| last + 1)
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
