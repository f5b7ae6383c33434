//! A training, step by step.

use fastrand::Rng;

use super::backward::Gradient;
use crate::network::Network;

/// A staff of the next batch: its number among the lessons, and by which chance it is disturbed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Task {
    /// Its number among the lessons.
    pub(super) lesson: usize,
    /// For [`super::Lesson::tried`].
    pub(super) chance: u64,
}

/// How many staves are tried before the weights change.
const BATCH: usize = 8;

/// By how much the weights change at most, at the beginning; it falls to nothing along half a cosine.
const RATE: f32 = 2.5e-4;

/// Over so many steps it rises first.
const RISE: f32 = 10.0;

/// How much of the mean and of the mean square of past gradients is kept (D. P. Kingma and J. Ba, "Adam",
/// ICLR 2015, with its constants).
const KEPT: [f32; 2] = [0.9, 0.999];
const SMALL: f32 = 1e-8;

/// No gradient of a batch is longer than this.
const LONGEST: f32 = 2.0;

/// How much of the mean of the weights is kept, in the end.
const MEAN_KEPT: f32 = 0.97;

/// A training, step by step.
pub(super) struct Course {
    network: Network,
    mean: Network,
    moments: [Vec<Vec<f32>>; 2],
    lessons: usize,
    waiting: Vec<usize>,
    chance: Rng,
    step: usize,
    steps: usize,
}

impl Course {
    /// A training from this network on, with so many lessons, in so many steps.
    pub(super) fn new(network: Network, lessons: usize, steps: usize) -> Course {
        let nothing: Vec<Vec<f32>> = network.parts().map(|part| vec![0.0; part.len()]).collect();
        Course {
            mean: network.clone(),
            network,
            moments: [nothing.clone(), nothing],
            lessons,
            waiting: Vec::new(),
            chance: Rng::with_seed(1),
            step: 0,
            steps,
        }
    }

    /// The network as it is tried now.
    pub(super) fn network(&self) -> &Network {
        &self.network
    }

    /// What is to be tried next; nothing when the training is at its end. Every lesson comes as often as
    /// every other.
    pub(super) fn batch(&mut self) -> Vec<Task> {
        if self.step >= self.steps || self.lessons == 0 {
            return Vec::new();
        }
        let mut tasks = Vec::with_capacity(BATCH);
        for _ in 0..BATCH {
            if self.waiting.is_empty() {
                self.waiting = (0..self.lessons).collect();
                self.chance.shuffle(&mut self.waiting);
            }
            let lesson = self.waiting.pop().unwrap_or(0);
            tasks.push(Task { lesson, chance: self.chance.u64(..) });
        }
        tasks
    }

    /// Changes the weights by what came of a batch.
    pub(super) fn take(&mut self, tried: &[Gradient]) {
        self.step += 1;
        let at = self.step as f32;
        let gone = (at - 1.0) / self.steps.max(1) as f32;
        let fall = 0.5 + 0.5 * (std::f32::consts::PI * gone).cos();
        let rate = RATE * (at / RISE).min(1.0) * (fall + 0.01);
        let changes = mean(tried, &self.moments[0]);
        let unbiased = KEPT.map(|kept| 1.0 - kept.powi(self.step as i32));
        let [firsts, seconds] = &mut self.moments;
        let moments = firsts.iter_mut().zip(seconds);
        for ((part, changes), (first, second)) in
            self.network.parts_mut().zip(&changes).zip(moments)
        {
            let values = part.iter_mut().zip(changes).zip(first.iter_mut().zip(second));
            for ((value, change), (first, second)) in values {
                *first += (1.0 - KEPT[0]) * (change - *first);
                *second += (1.0 - KEPT[1]) * (change * change - *second);
                let size = (*second / unbiased[1]).sqrt() + SMALL;
                *value -= rate * (*first / unbiased[0]) / size;
            }
        }
        let kept = MEAN_KEPT.min(at / (at + 4.0));
        for (mean, now) in self.mean.parts_mut().zip(self.network.parts()) {
            for (mean, now) in mean.iter_mut().zip(now) {
                *mean += (1.0 - kept) * (now - *mean);
            }
        }
    }

    /// The network that was learned: the mean of the last ones.
    pub(super) fn learned(self) -> Network {
        self.mean
    }
}

/// The mean of the gradients of a batch, shortened if it is too long.
fn mean(tried: &[Gradient], like: &[Vec<f32>]) -> Vec<Vec<f32>> {
    let mut all: Vec<Vec<f32>> = like.iter().map(|part| vec![0.0; part.len()]).collect();
    let share = 1.0 / tried.len().max(1) as f32;
    for gradient in tried {
        for (all, part) in all.iter_mut().zip(&gradient.parts) {
            for (all, part) in all.iter_mut().zip(part) {
                *all += share * part;
            }
        }
    }
    let long = all.iter().flatten().map(|value| value * value).sum::<f32>().sqrt();
    if long > LONGEST {
        for value in all.iter_mut().flatten() {
            *value *= LONGEST / long;
        }
    }
    all
}
