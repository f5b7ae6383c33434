//! How the strips of a page are spread: the smallest distances grow first, so that staves stand as
//! evenly as they can.

use crate::units::Mm;

/// The distance to which the smaller ones grow so that all together they grow by `slack`.
pub(crate) fn level(distances: &[Mm], slack: Mm) -> Mm {
    let mut sorted = distances.to_vec();
    sorted.sort_by(|one, two| one.0.total_cmp(&two.0));
    let mut sum = slack;
    let mut level = Mm::ZERO;
    for (place, distance) in sorted.iter().enumerate() {
        if place > 0 && level <= *distance {
            break;
        }
        sum += *distance;
        level = sum / (place + 1) as f64;
    }
    level
}

/// By how much each distance grows up to a level.
pub(crate) fn growth(distances: &[Mm], level: Mm) -> Vec<Mm> {
    distances.iter().map(|distance| (level - *distance).max(Mm::ZERO)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grown(distances: &[f64], slack: f64) -> Vec<f64> {
        let distances: Vec<Mm> = distances.iter().copied().map(Mm).collect();
        let growth = growth(&distances, level(&distances, Mm(slack)));
        distances.iter().zip(growth).map(|(distance, more)| (*distance + more).0).collect()
    }

    #[test]
    fn equal_distances_grow_alike() {
        assert_eq!(grown(&[8.0, 8.0, 8.0], 6.0), [10.0, 10.0, 10.0]);
    }

    #[test]
    fn the_smallest_grow_first() {
        assert_eq!(grown(&[8.0, 12.0, 9.0], 3.0), [10.0, 12.0, 10.0]);
        assert_eq!(grown(&[8.0, 12.0, 9.0], 10.0), [13.0, 13.0, 13.0]);
    }

    #[test]
    fn no_distance_is_no_matter() {
        assert_eq!(grown(&[], 10.0), [0.0; 0]);
    }
}
