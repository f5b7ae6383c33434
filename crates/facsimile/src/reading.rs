//! What stands on a staff: the odds of each step as a row of sorts.

use std::ops::Range;

use crate::network::{Odds, STEP};
use crate::sort::Sort;

/// A sort that was read.
#[derive(Clone, PartialEq, Debug)]
pub struct Read {
    /// What it is.
    pub sort: Sort,
    /// How likely it is, from 0 to 1, all else being as it was read.
    pub confidence: f32,
    /// The steps at which it was read.
    pub(crate) steps: Range<usize>,
}

impl Read {
    /// A sort that was read at these columns of a laid-out staff.
    pub fn new(sort: Sort, confidence: f32, columns: Range<u32>) -> Read {
        let steps = columns.start as usize / STEP..columns.end as usize / STEP;
        Read { sort, confidence, steps }
    }

    /// The columns of the laid-out staff at which it was read: not all that it covers.
    pub fn columns(&self) -> Range<u32> {
        (self.steps.start * STEP) as u32..(self.steps.end * STEP) as u32
    }
}

/// A row of sorts that is likely: each step has its likeliest sort, or none; the same sort at steps in a row
/// is one, as likely as at the clearest of them (A. Graves and others, "Connectionist Temporal
/// Classification", ICML 2006, section 3.2: best path).
pub(crate) fn rows(odds: &Odds) -> Vec<Read> {
    let best = |step: &[f32]| (0..step.len()).max_by(|a, b| step[*a].total_cmp(&step[*b]));
    let numbers: Vec<Option<usize>> = odds.steps.iter().map(|step| best(step)).collect();
    let mut read = Vec::new();
    let mut begin = 0;
    for run in numbers.chunk_by(|one, next| one == next) {
        let steps = begin..begin + run.len();
        begin = steps.end;
        let Some((number, sort)) = run[0].and_then(|n| Some((n, Sort::numbered(n)?))) else {
            continue;
        };
        let most = odds.steps[steps.clone()].iter().map(|step| step[number]);
        let confidence = most.fold(f32::NEG_INFINITY, f32::max).exp();
        read.push(Read { sort, confidence, steps });
    }
    read
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sort::Kind;

    fn odds(steps: &[&[(usize, f32)]]) -> Odds {
        Odds::of_parts(steps, 0.0)
    }

    #[test]
    fn a_sort_is_read_once_however_long_it_is_seen() {
        let dot = Sort::of(Kind::Dot).number().unwrap();
        let none = Sort::COUNT;
        let read = rows(&odds(&[
            &[(none, 1.0)],
            &[(dot, 0.6), (0, 0.4)],
            &[(dot, 0.9), (1, 0.1)],
            &[(none, 1.0)],
            &[(dot, 1.0)],
        ]));
        assert_eq!(read.iter().map(|read| read.sort.kind).collect::<Vec<_>>(), [Kind::Dot; 2]);
        assert_eq!((read[0].columns(), read[1].columns()), (4..12, 16..20));
        assert!((read[0].confidence - 0.9).abs() < 1e-4);
    }
}
