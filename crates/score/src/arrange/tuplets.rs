//! Tuplets: which lengths need one, and how their members are grouped under brackets.

use rudiments::{Proportion, Time};

use super::Tuplet;

/// So many values in the time of so many: at least as many as the latter, less than twice as many.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Ratio {
    pub(super) many: u32,
    pub(super) in_time_of: u32,
}

/// How a length is to be counted.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Count {
    /// In halves of halves.
    Plain,
    /// In a tuplet.
    Tuplet {
        ratio: Ratio,
        /// The length of a complete group; where there is none, a group is complete as soon as
        /// its length is plain.
        group: Option<Time>,
    },
    /// By no tuplet that is written.
    Neither,
}

/// Whether only halves of halves of a minim make up this length.
pub(super) fn is_plain(length: Time) -> bool {
    (length.denominator() as u64).is_power_of_two()
}

impl Ratio {
    /// The length as written, under the bracket; nothing where it cannot be held exactly.
    pub(super) fn written(self, length: Time) -> Option<Time> {
        let scaled = length.numerator().checked_mul(self.many as i64)?;
        let parts = length.denominator().checked_mul(self.in_time_of as i64)?;
        Some(Time::new(scaled, parts))
    }

    /// The length that sounds, of a written one.
    pub(super) fn sounding(self, written: Time) -> Time {
        written * self.in_time_of as i64 / self.many as i64
    }

    /// The ratio of a proportion, values being doubled or halved until it lies between one and
    /// two: three in the time of one is written as three of half the value in the time of two.
    /// Nothing where halves of halves suffice, as in the proportion 2:1.
    pub(super) fn of_proportion(proportion: Proportion) -> Option<(Ratio, Time)> {
        let (mut many, mut in_time_of) = (proportion.many(), proportion.in_time_of());
        let common = greatest_common_divisor(many, in_time_of);
        many /= common;
        in_time_of /= common;
        if many.is_power_of_two() {
            return None;
        }
        let group = Time::minims(in_time_of as i64);
        while many >= 2 * in_time_of {
            if many.is_multiple_of(2) { many /= 2 } else { in_time_of *= 2 }
        }
        while many < in_time_of {
            if in_time_of.is_multiple_of(2) { in_time_of /= 2 } else { many *= 2 }
        }
        Some((Ratio { many, in_time_of }, group))
    }
}

fn greatest_common_divisor(one: u32, other: u32) -> u32 {
    if other == 0 { one } else { greatest_common_divisor(other, one % other) }
}

/// How a length is counted that stands in a proportion.
///
/// The proportion counts where it explains the length. Else the odd factor of the length's
/// denominator does: sevenths stand seven in the time of four.
pub(super) fn count(length: Time, proportion: Proportion) -> Count {
    if !proportion.is_equal()
        && let Some((ratio, group)) = Ratio::of_proportion(proportion)
        && ratio.written(length).is_some_and(is_plain)
    {
        return Count::Tuplet { ratio, group: Some(group) };
    }
    let parts = length.denominator();
    let odd = parts >> parts.trailing_zeros();
    if odd == 1 {
        Count::Plain
    } else if odd <= Tuplet::LARGEST as i64 {
        let many = odd as u32;
        let ratio = Ratio { many, in_time_of: 1 << many.ilog2() };
        match ratio.written(length) {
            Some(_) => Count::Tuplet { ratio, group: None },
            None => Count::Neither,
        }
    } else {
        Count::Neither
    }
}

/// The groups of a run of consecutive members of one tuplet in a bar, as counts of members.
///
/// With a known group length, 2 minims for three minims in the time of two, a group goes from
/// one multiple of that length to the next that no member runs across, so that a dotted minim,
/// a semiminim and a minim stand under one bracket. Where all members are so small that each
/// half could be a group of its own, as with six semiminims, it is.
pub(super) fn groups(lengths: &[Time], ratio: Ratio, group: Option<Time>) -> Vec<usize> {
    let mut counts = Vec::new();
    let mut first = 0;
    while first < lengths.len() {
        let mut sum = Time::ZERO;
        let complete = lengths[first..].iter().position(|length| {
            sum += *length;
            group.map_or(is_plain(sum), |group| sum.within(group).is_zero())
        });
        let count = complete.map_or(lengths.len() - first, |last| last + 1);
        match group {
            Some(group) if complete.is_some() && sum == group => {
                halve(&lengths[first..first + count], ratio, group, &mut counts);
            }
            _ => counts.push(count),
        }
        first += count;
    }
    counts
}

/// A complete group of one length, or its halves, or theirs.
fn halve(lengths: &[Time], ratio: Ratio, group: Time, counts: &mut Vec<usize>) {
    let half = group.half();
    // In sesquialtera a third of the half is its beat. A dotted beat still belongs to the half.
    let small = |length: &Time| *length * (2 * ratio.many as i64) <= half * 3;
    let mut sum = Time::ZERO;
    let middle = lengths.iter().position(|length| {
        sum += *length;
        sum >= half
    });
    match middle {
        Some(last) if sum == half && lengths.iter().all(small) => {
            halve(&lengths[..=last], ratio, half, counts);
            halve(&lengths[last + 1..], ratio, half, counts);
        }
        _ => counts.push(lengths.len()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const THREE_IN_TWO: Ratio = Ratio { many: 3, in_time_of: 2 };

    fn of(many: u32, in_time_of: u32) -> Option<(u32, u32, Time)> {
        let proportion = Proportion::new(many, in_time_of).unwrap();
        Ratio::of_proportion(proportion).map(|(ratio, group)| (ratio.many, ratio.in_time_of, group))
    }

    #[test]
    fn proportions_as_modern_tuplets() {
        assert_eq!(of(3, 2), Some((3, 2, Time::minims(2))));
        assert_eq!(of(6, 4), Some((3, 2, Time::minims(2))));
        assert_eq!(of(3, 1), Some((3, 2, Time::minims(1))));
        assert_eq!(of(9, 4), Some((9, 8, Time::minims(4))));
        assert_eq!(of(5, 3), Some((5, 3, Time::minims(3))));
        assert_eq!(of(3, 4), Some((3, 2, Time::minims(4))));
    }

    #[test]
    fn halves_need_no_tuplet() {
        for (many, in_time_of) in [(2, 1), (4, 1), (1, 2), (4, 3), (2, 3)] {
            assert_eq!(of(many, in_time_of), None);
        }
        let dupla = Proportion::new(2, 1).unwrap();
        assert_eq!(count(Time::new(1, 2), dupla), Count::Plain);
    }

    #[test]
    fn an_odd_denominator_names_its_tuplet() {
        let ratio = |numerator, denominator| match count(
            Time::new(numerator, denominator),
            Proportion::EQUAL,
        ) {
            Count::Tuplet { ratio, group: None } => Some((ratio.many, ratio.in_time_of)),
            _ => None,
        };
        assert_eq!(ratio(5, 7), Some((7, 4)));
        assert_eq!(ratio(1, 6), Some((3, 2)));
        assert_eq!(ratio(4, 5), Some((5, 4)));
        assert_eq!(ratio(1, 9), Some((9, 8)));
        assert_eq!(ratio(3, 4), None);
        assert_eq!(count(Time::new(1, 1025), Proportion::EQUAL), Count::Neither);
    }

    /// Members as written, in semiminims.
    fn grouped(semiminims: &[i64], group: Option<i64>) -> Vec<usize> {
        let lengths: Vec<Time> = semiminims.iter().map(|length| Time::new(*length, 3)).collect();
        groups(&lengths, THREE_IN_TWO, group.map(Time::minims))
    }

    #[test]
    fn three_minims_make_a_group() {
        assert_eq!(grouped(&[2, 2, 2, 4, 2], Some(2)), [3, 2]);
        assert_eq!(grouped(&[3, 1, 2], Some(2)), [3]);
        assert_eq!(grouped(&[2, 1, 1, 2], Some(2)), [4]);
    }

    #[test]
    fn six_semiminims_make_two() {
        assert_eq!(grouped(&[1; 6], Some(2)), [3, 3]);
        assert_eq!(grouped(&[1, 1, 1, 1, 1, 1, 2, 2, 2], Some(2)), [3, 3, 3]);
    }

    #[test]
    fn a_dotted_beat_belongs_to_its_half() {
        let fusae = |lengths: &[i64]| -> Vec<Time> {
            lengths.iter().map(|length| Time::new(*length, 6)).collect()
        };
        let lengths = fusae(&[3, 1, 2, 3, 1, 2]);
        assert_eq!(groups(&lengths, THREE_IN_TWO, Some(Time::minims(2))), [3, 3]);
    }

    #[test]
    fn three_semibreves_make_a_longer_group() {
        assert_eq!(grouped(&[4, 4, 4], Some(2)), [3]);
    }

    #[test]
    fn what_is_left_is_a_group() {
        assert_eq!(grouped(&[2, 2, 2, 2], Some(2)), [3, 1]);
    }

    #[test]
    fn without_a_unit_a_group_ends_as_soon_as_it_can() {
        assert_eq!(grouped(&[2, 1, 1, 2, 4, 2], None), [2, 2, 2]);
    }
}
