//! The network goes on learning: the print that it is to read.
//!
//! It learns by itself: what it reads with some confidence on all staves of the print is taken as truth, three
//! times over, each time with what it has learned by then; and from lines that are known. How far that leads is
//! measured in `training/adapt.py`, which does the same.

mod alignment;
mod backward;
mod course;
mod disturb;
mod lesson;
mod statistics;

use image::GrayImage;

use crate::network::Network;
use crate::row::read;
use crate::sort::Sort;
use course::Course;
use lesson::Lesson;
use statistics::{statistics, with_statistics};

/// A staff that was laid out, and what stands on it.
#[derive(Clone, Debug)]
pub struct Known {
    /// The staff.
    pub laid: GrayImage,
    /// All sorts on it, from left to right. Where it is not known whether one more stands there, there are
    /// several such rows, and the likeliest counts.
    pub rows: Vec<Vec<Sort>>,
}

impl Known {
    /// The row that a network finds likeliest; nothing where none can stand there.
    pub fn row(&self, network: &Network) -> Option<&[Sort]> {
        let unlikely = |row: &&Vec<Sort>| Lesson::of(self.laid.clone(), row)?.unlikely(network);
        let rows = self.rows.iter().filter_map(|row| Some((row, unlikely(&row)?)));
        rows.min_by(|one, other| one.1.total_cmp(&other.1)).map(|(row, _)| row.as_slice())
    }

    fn lesson(&self, network: &Network) -> Option<Lesson> {
        Lesson::of(self.laid.clone(), self.row(network)?)
    }
}

/// Who does the work, and hears how far it is. Nothing here starts a thread: whoever has the processors may do
/// things side by side.
pub trait Workers {
    /// Does some work for each number below a count; what comes of it, in order.
    fn each<R: Send>(&self, count: usize, work: impl Fn(usize) -> R + Sync) -> Vec<R>;

    /// So many steps of so many are done; whether it shall go on.
    fn go_on(&mut self, done: usize, of: usize) -> bool;
}

/// So often the network learns by itself.
const ROUNDS: usize = 3;

/// A line is taken as it is read if every sort on it is at least so likely.
const SURE: f32 = 0.5;

/// If so many lines are known, the network learns from them alone in the end: fewer teach more with what it
/// reads by itself.
const ENOUGH: usize = 10;

/// What came of the learning.
pub struct Learned {
    /// The network as it is now.
    pub network: Network,
    /// How many staves of those that are not known it took as it read them, in the end.
    pub by_itself: usize,
    /// How many steps were done, of how many.
    pub steps: (usize, usize),
}

/// The network after it has learned a print, of which some staves are known and others are not, in trainings of
/// so many steps.
pub fn learn(
    network: &Network,
    known: &[Known],
    others: &[GrayImage],
    steps: usize,
    workers: &mut impl Workers,
) -> Learned {
    let staves: Vec<&GrayImage> = known.iter().map(|known| &known.laid).chain(others).collect();
    let found = workers.each(staves.len(), |number| statistics(network, staves[number]));
    let own = with_statistics(network.clone(), &found.into_iter().flatten().collect::<Vec<_>>());
    let lessons = workers.each(known.len(), |number| known[number].lesson(&own));
    let lessons: Vec<Lesson> = lessons.into_iter().flatten().collect();
    let is_enough = lessons.len() >= ENOUGH;
    let all = steps * (ROUNDS + usize::from(is_enough));
    let mut learned = Learned { network: own.clone(), by_itself: 0, steps: (0, all) };
    for _ in 0..ROUNDS {
        let now = &learned.network;
        let sure = workers.each(others.len(), |number| by_itself(&others[number], now));
        let mut lines: Vec<Lesson> = sure.into_iter().flatten().collect();
        learned.by_itself = lines.len();
        lines.extend(lessons.iter().cloned());
        if !trained(&mut learned, own.clone(), &lines, steps, workers) {
            return learned;
        }
    }
    if is_enough {
        let now = learned.network.clone();
        trained(&mut learned, now, &lessons, steps, workers);
    }
    learned
}

/// A staff as a network reads it, if it is sure of everything.
fn by_itself(laid: &GrayImage, network: &Network) -> Option<Lesson> {
    let sorts = read(laid, network).sorts;
    let is_sure = !sorts.is_empty() && sorts.iter().all(|read| read.confidence >= SURE);
    let row: Vec<Sort> = sorts.iter().map(|read| read.sort).collect();
    is_sure.then(|| Lesson::of(laid.clone(), &row)).flatten()
}

/// Trains a network on some lines; whether it came to the end.
fn trained(
    learned: &mut Learned,
    network: Network,
    lessons: &[Lesson],
    steps: usize,
    workers: &mut impl Workers,
) -> bool {
    if lessons.is_empty() {
        learned.steps.0 += steps;
        return workers.go_on(learned.steps.0, learned.steps.1);
    }
    let mut course = Course::new(network, lessons.len(), steps);
    loop {
        let batch = course.batch();
        let is_over = batch.is_empty();
        if is_over || !workers.go_on(learned.steps.0, learned.steps.1) {
            learned.network = course.learned();
            return is_over;
        }
        let network = course.network();
        let tried = workers.each(batch.len(), |number| {
            lessons[batch[number].lesson].tried(network, batch[number].chance)
        });
        course.take(&tried.into_iter().flatten().collect::<Vec<_>>());
        learned.steps.0 += 1;
    }
}

#[cfg(test)]
mod tests;
