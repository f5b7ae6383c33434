//! Where on a line a row of sorts stands that is known.

use crate::likelihood::{Steps, lasts, may_pass, places, sort_at};
use crate::sort::Sort;

/// How likely each sort is at each step, all ways to read a row counted: that there is none comes last.
///
/// Both ways along the line, each step scaled (A. Graves and others, "Connectionist Temporal
/// Classification", ICML 2006, section 4.1). Nothing where the row cannot be.
pub(crate) fn aligned(steps: &Steps, row: &[usize]) -> Option<Vec<Vec<f32>>> {
    let places = places(row);
    let mut forth = Vec::with_capacity(steps.len());
    steps.forth(row, |now| forth.push(now.to_vec()))?;
    // What is still to come after each place, from the last step back.
    let mut back = vec![0.0_f64; places];
    for place in lasts(places) {
        back[place] = 1.0;
    }
    let mut all = vec![vec![0.0_f32; Sort::COUNT + 1]; steps.len()];
    for step in (0..steps.len()).rev() {
        let mut here: Vec<f64> = forth[step].iter().zip(&back).map(|(a, b)| a * b).collect();
        scale(&mut here)?;
        for (place, part) in here.iter().enumerate() {
            all[step][sort_at(row, place)] += *part as f32;
        }
        let mut before = vec![0.0_f64; places];
        for place in 0..places {
            let ways = back[place] * f64::from(steps.likely(step, sort_at(row, place)));
            before[place] += ways;
            if place >= 1 {
                before[place - 1] += ways;
            }
            if may_pass(row, place) {
                before[place - 2] += ways;
            }
        }
        scale(&mut before)?;
        back = before;
    }
    Some(all)
}

/// Divides by the sum; nothing where that is 0.
fn scale(values: &mut [f64]) -> Option<()> {
    let all: f64 = values.iter().sum();
    if all <= 0.0 || !all.is_finite() {
        return None;
    }
    for value in values {
        *value /= all;
    }
    Some(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::network::Odds;

    /// What is likely at some steps.
    fn steps(likely: &[&[(usize, f32)]]) -> Steps {
        Steps::of(&Odds::of_parts(likely, 0.0))
    }

    const NONE: usize = Sort::COUNT;

    /// Three ways to read one sort on two steps: 0.4 × 0.5 + 0.4 × 0.5 + 0.6 × 0.5.
    #[test]
    fn all_ways_count() {
        let steps = steps(&[&[(7, 0.4), (NONE, 0.6)], &[(7, 0.5), (NONE, 0.5)]]);
        assert!((steps.likelihood(&[7]).unwrap() - 0.7_f64.ln()).abs() < 1e-6);
        let found = aligned(&steps, &[7]).unwrap();
        assert!((found[0][7] - 4.0 / 7.0).abs() < 1e-6);
        assert!((found[1][7] - 5.0 / 7.0).abs() < 1e-6);
        assert!((found[1][NONE] - 2.0 / 7.0).abs() < 1e-6);
    }

    #[test]
    fn the_same_sort_twice_needs_a_step_between() {
        let both: &[(usize, f32)] = &[(7, 0.5), (NONE, 0.5)];
        assert!(aligned(&steps(&[both, both]), &[7, 7]).is_none());
        let steps = steps(&[both, both, both]);
        assert!((steps.likelihood(&[7, 7]).unwrap() - 0.125_f64.ln()).abs() < 1e-6);
        assert!((aligned(&steps, &[7, 7]).unwrap()[1][NONE] - 1.0).abs() < 1e-6);
    }

    #[test]
    fn nothing_stands_there() {
        let steps = steps(&[&[(7, 0.4), (NONE, 0.6)]]);
        assert!((steps.likelihood(&[]).unwrap() - 0.6_f64.ln()).abs() < 1e-6);
        assert!((aligned(&steps, &[]).unwrap()[0][NONE] - 1.0).abs() < 1e-6);
    }
}
