//! Which voice of one piece is which of the other: by name, else by what it has.

use std::collections::HashSet;

use super::element::Element;

/// So many intervals in a row are compared.
const INTERVALS: usize = 4;

/// So many of them stand for a voice, so that long voices take no longer to match than to read.
const SKETCH: usize = 512;

/// A voice to be matched.
pub(super) struct Candidate<'v> {
    pub(super) name: &'v str,
    pub(super) elements: &'v [Element<'v>],
}

/// Voices of the same name belong together unless one of them has so many runs of intervals in common
/// with another voice, and four times as many as with its namesake: names may be guessed.
const OTHERWISE: usize = 16;

/// Pairs of places, and the places of the left and the right that have no other. Names that are equal
/// go together unless the notes say otherwise, then voices whose intervals are the most alike, then
/// what is left in order, if both pieces have as many voices left.
pub(super) fn pairs(
    left: &[Candidate<'_>],
    right: &[Candidate<'_>],
) -> Vec<(Option<usize>, Option<usize>)> {
    let mut there = vec![None; left.len()];
    let mut taken = vec![false; right.len()];
    let mut join = |here: usize, other: usize, there: &mut Vec<Option<usize>>| {
        if there[here].is_none() && !taken[other] {
            (there[here], taken[other]) = (Some(other), true);
        }
    };
    let alike = by_content(left, right);
    for (here, candidate) in left.iter().enumerate() {
        let same = |other: &Candidate<'_>| other.name.eq_ignore_ascii_case(candidate.name);
        if let Some(other) = right.iter().position(same)
            && !is_misnamed(&alike, here, other)
        {
            join(here, other, &mut there);
        }
    }
    for (_, here, other) in alike {
        join(here, other, &mut there);
    }
    let rest: Vec<usize> = (0..left.len()).filter(|here| there[*here].is_none()).collect();
    let others: Vec<usize> =
        (0..right.len()).filter(|other| !there.contains(&Some(*other))).collect();
    let mut pairs: Vec<(Option<usize>, Option<usize>)> = Vec::new();
    let in_order = rest.len() == others.len();
    for (here, other) in there.iter().enumerate() {
        let by_order = || rest.iter().position(|one| *one == here).map(|place| others[place]);
        let other = other.or_else(|| if in_order { by_order() } else { None });
        pairs.push((Some(here), other));
    }
    if !in_order {
        pairs.extend(others.into_iter().map(|other| (None, Some(other))));
    }
    pairs
}

/// Whether the notes say that two voices of the same name are not the same voice.
fn is_misnamed(alike: &[(usize, usize, usize)], here: usize, other: usize) -> bool {
    let common = |is_asked: &dyn Fn(usize, usize) -> bool| {
        let asked = alike.iter().filter(|(_, left, right)| is_asked(*left, *right));
        asked.map(|(common, ..)| *common).max().unwrap_or(0)
    };
    let own = common(&|left, right| (left, right) == (here, other));
    let best = common(&|left, right| (left == here) != (right == other));
    best >= OTHERWISE && own * 4 < best
}

/// Pairs that have something in common, the most alike first, each after how much that is.
fn by_content(left: &[Candidate<'_>], right: &[Candidate<'_>]) -> Vec<(usize, usize, usize)> {
    let sketches = |voices: &[Candidate<'_>]| -> Vec<HashSet<u64>> {
        voices.iter().map(|voice| sketch(voice.elements)).collect()
    };
    let (here, there) = (sketches(left), sketches(right));
    let mut alike: Vec<(usize, usize, usize)> = Vec::new();
    for (place, sketch) in here.iter().enumerate() {
        for (other, other_sketch) in there.iter().enumerate() {
            let common = sketch.intersection(other_sketch).count();
            if common > 0 {
                alike.push((common, place, other));
            }
        }
    }
    alike.sort_by_key(|(common, place, other)| {
        (usize::MAX - common, place.abs_diff(*other), *place)
    });
    alike
}

/// The smallest hashes of the intervals of a voice, a few in a row.
fn sketch(elements: &[Element<'_>]) -> HashSet<u64> {
    let rungs: Vec<i32> = elements.iter().filter_map(Element::rung).collect();
    let mut hashes: Vec<u64> = rungs
        .windows(INTERVALS + 1)
        .map(|notes| {
            let intervals = notes.windows(2).map(|pair| (pair[1] - pair[0]) as u64);
            scattered(intervals.fold(0, |hash: u64, one| hash.wrapping_mul(127).wrapping_add(one)))
        })
        .collect();
    hashes.sort_unstable();
    hashes.dedup();
    hashes.truncate(SKETCH);
    hashes.into_iter().collect()
}

/// The finalizer of `SplitMix64` (Steele, Lea, Flood, OOPSLA 2014).
fn scattered(hash: u64) -> u64 {
    let hash = (hash ^ (hash >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let hash = (hash ^ (hash >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    hash ^ (hash >> 31)
}
