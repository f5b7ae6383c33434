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
    ///
    /// All ways to read it are summed, step by step: before, between and after the sorts there may be
    /// steps with none, and between two of the same sort there must be.
    pub(crate) fn likelihood(&self, row: &[usize]) -> Option<f64> {
        // Places with an odd number are the sorts; the others are what lies between.
        let places = 2 * row.len() + 1;
        let mut now = vec![0.0_f64; places];
        let mut next = vec![0.0_f64; places];
        // Before the first step nothing is read.
        now[0] = 1.0;
        let mut sum = 0.0;
        for step in &self.0 {
            let none = f64::from(step[Sort::COUNT]);
            let mut all = 0.0;
            for place in 0..places {
                let number = (place % 2 == 1).then(|| row[place / 2]);
                let mut ways = now[place];
                if let Some(before) = place.checked_sub(1) {
                    ways += now[before];
                }
                if let Some(number) = number
                    && place >= 3
                    && row[place / 2 - 1] != number
                {
                    ways += now[place - 2];
                }
                next[place] = ways * number.map_or(none, |number| f64::from(step[number]));
                all += next[place];
            }
            if all <= 0.0 {
                return None;
            }
            sum += all.ln();
            for (now, next) in now.iter_mut().zip(&next) {
                *now = next / all;
            }
        }
        let ended = now[places - 1] + places.checked_sub(2).map_or(0.0, |last| now[last]);
        (ended > 0.0).then(|| sum + ended.ln())
    }
}
