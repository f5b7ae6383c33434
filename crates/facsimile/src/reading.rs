//! What stands on a staff: the odds of each step as a row of sorts.

use std::ops::Range;

use image::GrayImage;

use crate::network::{Network, Odds, STEP};
use crate::sort::Sort;

/// So many other readings of a sort are kept.
const OTHERS: usize = 3;

/// A sort that was read.
#[derive(Clone, PartialEq, Debug)]
pub struct Read {
    /// The likeliest.
    pub sort: Sort,
    /// How likely it is, from 0 to 1.
    pub confidence: f32,
    /// What else it may be, the likeliest first, with how likely that is.
    pub others: Vec<(Sort, f32)>,
    /// The columns of the laid-out staff at which it was read: not all that it covers.
    pub columns: Range<u32>,
}

/// The sorts on a staff that was laid out, from left to right; none on an empty one.
///
/// Each step has its likeliest sort, or none; the same sort at steps in a row is one
/// (A. Graves and others, "Connectionist Temporal Classification", ICML 2006, section 3.2: best path).
pub fn read(laid: &GrayImage, network: &Network) -> Vec<Read> {
    rows(&network.odds(laid))
}

fn rows(odds: &Odds) -> Vec<Read> {
    let best = |step: &[f32]| (0..step.len()).max_by(|a, b| step[*a].total_cmp(&step[*b]));
    let numbers: Vec<Option<usize>> = odds.steps.iter().map(|step| best(step)).collect();
    let mut read = Vec::new();
    let mut begin = 0;
    for run in numbers.chunk_by(|one, next| one == next) {
        let steps = begin..begin + run.len();
        begin = steps.end;
        let Some(sort) = run[0].and_then(Sort::numbered) else { continue };
        read.push(one(sort, steps, odds));
    }
    read
}

/// A sort that is the likeliest at some steps: as likely as at the clearest of them.
fn one(sort: Sort, steps: Range<usize>, odds: &Odds) -> Read {
    let mut likely: Vec<(usize, f32)> = (0..Sort::COUNT)
        .map(|number| {
            let most = odds.steps[steps.clone()].iter().map(|step| step[number]);
            (number, most.fold(f32::NEG_INFINITY, f32::max).exp())
        })
        .collect();
    likely.sort_by(|a, b| b.1.total_cmp(&a.1));
    let mut others =
        likely.into_iter().filter_map(|(number, most)| Some((Sort::numbered(number)?, most)));
    let confidence = others.find(|(other, _)| *other == sort).map_or(0.0, |(_, most)| most);
    let columns = (steps.start * STEP) as u32..(steps.end * STEP) as u32;
    Read { sort, confidence, others: others.take(OTHERS).collect(), columns }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sort::Kind;

    /// Odds of steps at which some sorts are likely.
    fn odds(steps: &[&[(usize, f32)]]) -> Odds {
        let step = |likely: &&[(usize, f32)]| {
            let mut step = vec![f32::NEG_INFINITY; Sort::COUNT + 1];
            for (number, part) in *likely {
                step[*number] = part.ln();
            }
            step
        };
        Odds { steps: steps.iter().map(step).collect() }
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
        assert_eq!((read[0].columns.clone(), read[1].columns.clone()), (4..12, 16..20));
        assert!((read[0].confidence - 0.9).abs() < 1e-4);
        let others: Vec<Sort> = read[0].others.iter().map(|(sort, _)| *sort).take(2).collect();
        assert_eq!(others, [Sort::numbered(0).unwrap(), Sort::numbered(1).unwrap()]);
    }
}
