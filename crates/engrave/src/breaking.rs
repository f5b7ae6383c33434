//! Which bars stand in which system: the best way over the whole piece, by dynamic programming,
//! as Knuth and Plass break paragraphs ("Breaking Paragraphs into Lines", 1981).

use std::ops::Range;

use crate::units::Sp;

/// What breaking needs to know of a bar.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct BarWidth {
    /// What does not stretch.
    pub(crate) fixed: Sp,
    /// What stretches, by its length.
    pub(crate) natural: Sp,
    /// What stretches, at the least.
    pub(crate) least: Sp,
    /// What stands before the bar if it is the first of a system: clef and signature.
    pub(crate) opening: Sp,
    /// What stands behind the bar if it is the last of a system: a signature or a meter that is
    /// about to change.
    pub(crate) courtesy: Sp,
    /// Whether a system must begin with it.
    pub(crate) must_begin: bool,
}

/// A system of one bar, where there are others, costs as much as this many systems that are
/// spaced twice too wide.
const WIDOW: f64 = 40.0;

/// A line that does not fit costs more than any that does.
const MISFIT: f64 = 1e6;

/// How much a line of these widths differs from its natural spacing, as a cost.
fn cost(width: Sp, natural: Sp, least: Sp, fixed: Sp) -> f64 {
    let room = width - fixed;
    if room < least {
        return MISFIT * (1.0 + (least - room).0);
    }
    let ratio = room / natural.max(Sp(0.1));
    // Twice too wide is as bad as twice too narrow.
    let stretch = if ratio >= 1.0 { ratio - 1.0 } else { (1.0 / ratio - 1.0) * 1.3 };
    // The worst system counts most: a page is to look evenly grey.
    stretch.powi(3)
}

/// Breaks the bars into systems of that width.
pub(crate) fn systems(bars: &[BarWidth], width: Sp) -> Vec<Range<usize>> {
    if bars.is_empty() {
        return Vec::new();
    }
    // For each number of bars from the beginning: the least cost, and where its last system begins.
    let mut best: Vec<(f64, usize)> = vec![(0.0, 0)];
    for end in 1..=bars.len() {
        let mut least_cost = (f64::INFINITY, end - 1);
        let (mut natural, mut least, mut fixed) = (Sp::ZERO, Sp::ZERO, Sp::ZERO);
        for start in (0..end).rev() {
            let bar = &bars[start];
            natural += bar.natural.max(bar.least);
            least += bar.least;
            fixed += bar.fixed;
            let mut line =
                cost(width, natural, least, fixed + bar.opening + bars[end - 1].courtesy);
            let whole = start == 0 && end == bars.len();
            if end - start == 1 && !whole {
                line += WIDOW;
            }
            let total = best[start].0 + line;
            if total < least_cost.0 {
                least_cost = (total, start);
            }
            // Longer lines only fit worse.
            if bar.must_begin || (line >= MISFIT && end - start > 1) {
                break;
            }
        }
        best.push(least_cost);
    }
    let mut systems = Vec::new();
    let mut end = bars.len();
    while end > 0 {
        let start = best[end].1;
        systems.push(start..end);
        end = start;
    }
    systems.reverse();
    systems
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bars(widths: &[f64]) -> Vec<BarWidth> {
        let bar = |width: &f64| BarWidth {
            fixed: Sp(1.0),
            natural: Sp(*width),
            least: Sp(width * 0.6),
            opening: Sp(5.0),
            courtesy: Sp::ZERO,
            must_begin: false,
        };
        widths.iter().map(bar).collect()
    }

    fn lengths(systems: &[Range<usize>]) -> Vec<usize> {
        systems.iter().map(Range::len).collect()
    }

    /// All ways to break, tried one after another.
    fn brute_force(bars: &[BarWidth], width: Sp) -> f64 {
        let count = bars.len();
        let ways = (0..1_u32 << (count - 1)).filter_map(|breaks| {
            let mut total = 0.0;
            let mut start = 0;
            for end in 1..=count {
                if end < count && breaks & (1 << (end - 1)) == 0 {
                    continue;
                }
                let line = &bars[start..end];
                if line[1..].iter().any(|bar| bar.must_begin) {
                    return None;
                }
                let natural = line.iter().map(|bar| bar.natural.max(bar.least)).sum();
                let least = line.iter().map(|bar| bar.least).sum();
                let fixed: Sp = line.iter().map(|bar| bar.fixed).sum();
                total += cost(
                    width,
                    natural,
                    least,
                    fixed + line[0].opening + line[line.len() - 1].courtesy,
                );
                if line.len() == 1 && count > 1 {
                    total += WIDOW;
                }
                start = end;
            }
            Some(total)
        });
        ways.fold(f64::INFINITY, f64::min)
    }

    fn total(bars: &[BarWidth], width: Sp, systems: &[Range<usize>]) -> f64 {
        let line = |range: &Range<usize>| {
            let line = &bars[range.clone()];
            let natural = line.iter().map(|bar| bar.natural.max(bar.least)).sum();
            let least = line.iter().map(|bar| bar.least).sum();
            let fixed: Sp = line.iter().map(|bar| bar.fixed).sum();
            let widow = if line.len() == 1 && bars.len() > 1 { WIDOW } else { 0.0 };
            cost(width, natural, least, fixed + line[0].opening + line[line.len() - 1].courtesy)
                + widow
        };
        systems.iter().map(line).sum()
    }

    #[test]
    fn no_way_is_better_than_the_one_taken() {
        let mut state = 7_u64;
        let mut next = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            f64::from((state >> 33) as u32) / f64::from(1_u32 << 31)
        };
        for _ in 0..200 {
            let count = 1 + (next() * 11.0) as usize;
            let widths: Vec<f64> = (0..count).map(|_| 6.0 + next() * 20.0).collect();
            let mut bars = bars(&widths);
            for bar in &mut bars {
                bar.must_begin = next() < 0.1;
                bar.courtesy = Sp(if next() < 0.2 { 6.0 } else { 0.0 });
            }
            let width = Sp(40.0 + next() * 30.0);
            let systems = systems(&bars, width);
            let (ours, best) = (total(&bars, width, &systems), brute_force(&bars, width));
            assert!((ours - best).abs() <= best * 1e-9, "{widths:?}: {ours} against {best}");
        }
    }

    /// First fit would leave one bar for the last system.
    #[test]
    fn no_bar_is_left_alone() {
        assert_eq!(lengths(&systems(&bars(&[10.0; 9]), Sp(55.0))), [5, 4]);
    }

    #[test]
    fn where_a_system_must_begin_it_does() {
        let mut bars = bars(&[10.0; 6]);
        bars[2].must_begin = true;
        assert_eq!(systems(&bars, Sp(60.0))[0], 0..2);
    }

    #[test]
    fn a_bar_that_is_too_wide_stands_alone() {
        assert_eq!(lengths(&systems(&bars(&[10.0, 200.0, 10.0, 10.0]), Sp(50.0))), [1, 1, 2]);
    }
}
