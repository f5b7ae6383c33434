//! How far what the network puts out is from a row of sorts that is known, and where it would have to give way.

use crate::sort::Sort;

/// How unlikely a row is by the odds of each step, and how likely each of its places is at each step.
pub(crate) struct Alignment {
    /// The natural logarithm of how likely the row is, with its sign turned.
    pub(crate) loss: f64,
    /// For each step how likely each sort is there, all ways to read the row counted.
    pub(crate) likely: Vec<Vec<f32>>,
}

impl Alignment {
    /// A row against the odds of each step, in natural logarithms; nothing where it cannot be.
    ///
    /// Both ways along the line, each step scaled (A. Graves and others, "Connectionist Temporal
    /// Classification", ICML 2006, section 4.1).
    pub(crate) fn of(odds: &[Vec<f32>], row: &[usize]) -> Option<Alignment> {
        // Places with an odd number are the sorts; the others are what lies between.
        let places = 2 * row.len() + 1;
        let sort = |place: usize| if place % 2 == 1 { row[place / 2] } else { Sort::COUNT };
        // Between two of the same sort there must be a step with none.
        let may_pass =
            |place: usize| place % 2 == 1 && place >= 3 && row[place / 2] != row[place / 2 - 1];
        let likely = |step: usize, place: usize| f64::from(odds[step][sort(place)]).exp();
        let (mut loss, mut forth) = (0.0, Vec::with_capacity(odds.len()));
        let mut now = vec![0.0_f64; places];
        now[0] = 1.0;
        for step in 0..odds.len() {
            let mut next = vec![0.0_f64; places];
            for place in 0..places {
                let mut ways = now[place];
                if place >= 1 {
                    ways += now[place - 1];
                }
                if may_pass(place) {
                    ways += now[place - 2];
                }
                next[place] = ways * likely(step, place);
            }
            loss -= scaled(&mut next)?;
            forth.push(next.clone());
            now = next;
        }
        let last = [places.checked_sub(1), places.checked_sub(2)];
        let ended: f64 = last.into_iter().flatten().map(|place| now[place]).sum();
        if ended <= 0.0 {
            return None;
        }
        loss -= ended.ln();
        // What is still to come after each place, from the last step back.
        let mut back = vec![0.0_f64; places];
        for place in last.into_iter().flatten() {
            back[place] = 1.0;
        }
        let mut all = vec![vec![0.0_f32; Sort::COUNT + 1]; odds.len()];
        for step in (0..odds.len()).rev() {
            let mut here: Vec<f64> = forth[step].iter().zip(&back).map(|(a, b)| a * b).collect();
            scaled(&mut here)?;
            for (place, part) in here.iter().enumerate() {
                all[step][sort(place)] += *part as f32;
            }
            let mut before = vec![0.0_f64; places];
            for place in 0..places {
                let ways = back[place] * likely(step, place);
                before[place] += ways;
                if place >= 1 {
                    before[place - 1] += ways;
                }
                if may_pass(place) {
                    before[place - 2] += ways;
                }
            }
            scaled(&mut before)?;
            back = before;
        }
        Some(Alignment { loss, likely: all })
    }
}

/// Divides by the sum, whose natural logarithm comes back; nothing where it is 0.
fn scaled(values: &mut [f64]) -> Option<f64> {
    let all: f64 = values.iter().sum();
    if all <= 0.0 || !all.is_finite() {
        return None;
    }
    for value in values {
        *value /= all;
    }
    Some(all.ln())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The odds of steps at which some sorts are likely.
    fn odds(steps: &[&[(usize, f32)]]) -> Vec<Vec<f32>> {
        let step = |likely: &&[(usize, f32)]| {
            let mut step = vec![f32::NEG_INFINITY; Sort::COUNT + 1];
            for (number, part) in *likely {
                step[*number] = part.ln();
            }
            step
        };
        steps.iter().map(step).collect()
    }

    const NONE: usize = Sort::COUNT;

    /// Three ways to read one sort on two steps: 0.4 × 0.5 + 0.4 × 0.5 + 0.6 × 0.5.
    #[test]
    fn all_ways_count() {
        let odds = odds(&[&[(7, 0.4), (NONE, 0.6)], &[(7, 0.5), (NONE, 0.5)]]);
        let found = Alignment::of(&odds, &[7]).unwrap();
        assert!((found.loss + 0.7_f64.ln()).abs() < 1e-6);
        assert!((found.likely[0][7] - 4.0 / 7.0).abs() < 1e-6);
        assert!((found.likely[1][7] - 5.0 / 7.0).abs() < 1e-6);
        assert!((found.likely[1][NONE] - 2.0 / 7.0).abs() < 1e-6);
    }

    #[test]
    fn the_same_sort_twice_needs_a_step_between() {
        let both: &[(usize, f32)] = &[(7, 0.5), (NONE, 0.5)];
        assert!(Alignment::of(&odds(&[both, both]), &[7, 7]).is_none());
        let found = Alignment::of(&odds(&[both, both, both]), &[7, 7]).unwrap();
        assert!((found.loss + 0.125_f64.ln()).abs() < 1e-6);
        assert!((found.likely[1][NONE] - 1.0).abs() < 1e-6);
    }

    #[test]
    fn nothing_stands_there() {
        let found = Alignment::of(&odds(&[&[(7, 0.4), (NONE, 0.6)]]), &[]).unwrap();
        assert!((found.loss + 0.6_f64.ln()).abs() < 1e-6);
        assert!((found.likely[0][NONE] - 1.0).abs() < 1e-6);
    }
}
