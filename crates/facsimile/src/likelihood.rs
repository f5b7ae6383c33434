//! How likely rows of sorts are, by the odds of each step.

use std::ops::Range;

use crate::network::Odds;
use crate::sort::Sort;

/// How likely each sort is at each step, and that there is none.
pub(crate) struct Steps(Vec<Vec<f32>>);

impl Steps {
    pub(crate) fn of(odds: &Odds) -> Steps {
        let likely = |step: &Vec<f32>| step.iter().map(|odds| odds.exp()).collect();
        Steps(odds.steps.iter().map(likely).collect())
    }

    pub(crate) fn len(&self) -> usize {
        self.0.len()
    }

    /// How likely a sort is at a step.
    pub(crate) fn likely(&self, step: usize, number: usize) -> f32 {
        self.0[step][number]
    }

    /// The sorts that are likeliest at any of these steps, so many at most, and none less likely than that.
    pub(crate) fn likeliest(&self, steps: Range<usize>, count: usize, least: f32) -> Vec<usize> {
        let mut most: Vec<(usize, f32)> = Vec::new();
        for step in &self.0[steps] {
            for (number, likely) in step[..Sort::COUNT].iter().enumerate() {
                if *likely < least {
                    continue;
                }
                match most.iter_mut().find(|(known, _)| *known == number) {
                    Some((_, known)) => *known = known.max(*likely),
                    None => most.push((number, *likely)),
                }
            }
        }
        most.sort_by(|a, b| b.1.total_cmp(&a.1));
        most.into_iter().take(count).map(|(number, _)| number).collect()
    }

    /// The natural logarithm of how likely a row of sorts is; nothing where it cannot be.
    pub(crate) fn likelihood(&self, row: &[usize]) -> Option<f64> {
        self.forth(row, |_| {})
    }

    /// The same; and for each step, from left to right, how likely each place of the row is by then, beside
    /// the others.
    ///
    /// All ways to read the row are summed, step by step.
    pub(crate) fn forth(&self, row: &[usize], mut each: impl FnMut(&[f64])) -> Option<f64> {
        let places = places(row);
        let mut now = vec![0.0_f64; places];
        let mut next = vec![0.0_f64; places];
        // Before the first step nothing is read.
        now[0] = 1.0;
        let mut sum = 0.0;
        for step in 0..self.len() {
            let mut all = 0.0;
            for place in 0..places {
                let mut ways = now[place];
                if let Some(before) = place.checked_sub(1) {
                    ways += now[before];
                }
                if may_pass(row, place) {
                    ways += now[place - 2];
                }
                next[place] = ways * f64::from(self.likely(step, sort_at(row, place)));
                all += next[place];
            }
            if all <= 0.0 {
                return None;
            }
            sum += all.ln();
            for (now, next) in now.iter_mut().zip(&next) {
                *now = next / all;
            }
            each(&now);
        }
        let ended: f64 = lasts(places).map(|place| now[place]).sum();
        (ended > 0.0).then(|| sum + ended.ln())
    }
}

/// How many places a row has for the steps: its sorts, those with an odd number, and what lies before, between and
/// after them, where there may be steps with none.
pub(crate) fn places(row: &[usize]) -> usize {
    2 * row.len() + 1
}

/// The places at which a row may end: after the last sort, and at it.
pub(crate) fn lasts(places: usize) -> impl Iterator<Item = usize> {
    [places.checked_sub(1), places.checked_sub(2)].into_iter().flatten()
}

/// What is read at a place: the number of a sort, or that there is none.
pub(crate) fn sort_at(row: &[usize], place: usize) -> usize {
    if place % 2 == 1 { row[place / 2] } else { Sort::COUNT }
}

/// Whether the sort at a place may follow the one before without a step between: not if it is the same.
pub(crate) fn may_pass(row: &[usize], place: usize) -> bool {
    place % 2 == 1 && place >= 3 && row[place / 2] != row[place / 2 - 1]
}
