//! All staves of a picture, in the order in which they are read.

use std::ops::Range;

use crate::fives::Fives;
use crate::level::{Level, PIECE};
use crate::staff::{Staff, Strips, middle};
use crate::straight::Straight;

/// Lines that are fainter than this part of the others shine through from the back of the leaf.
const SHINING_THROUGH: f32 = 0.4;

/// The fold of an opening lies in this part of the width of a picture.
const FOLD: [f32; 2] = [0.25, 0.75];

/// The staves of a level: the left page from the top down, then the right one.
pub(crate) fn staves(fine: &Level, level: &Level, found: &Fives) -> Vec<Staff> {
    let strips = Strips::new(level, found.ink);
    let is_staff = |staff: &Staff| {
        let straight = Straight::new(fine, level, staff, found.ink);
        straight.is_staff(straight.ends())
    };
    let whole = 0..level.strips();
    let mut staves = followed(&strips, found, &whole);
    // Staves of the two pages of an opening may have been taken for one.
    let mut pages = if let Some(fold) = fold(level, &staves) {
        [0..fold, fold..whole.end]
            .map(|page| {
                let parts = staves.iter().filter_map(|staff| strips.part(staff, &page));
                let alone = followed(&strips, found, &page).into_iter().filter(is_staff);
                with_missing(parts.filter(is_staff).collect(), alone)
            })
            .to_vec()
    } else {
        staves.retain(is_staff);
        vec![staves]
    };
    let clearest = clearest(&pages);
    for page in &mut pages {
        page.retain(|staff| staff.depth > SHINING_THROUGH * clearest);
    }
    pages.into_iter().flat_map(from_the_top).collect()
}

/// The staves that are seen in some strips.
fn followed(strips: &Strips, found: &Fives, page: &Range<usize>) -> Vec<Staff> {
    let mut staves: Vec<Staff> = Vec::new();
    for five in found.all.iter().filter(|five| page.contains(&five.strip)) {
        if !staves.iter().any(|staff| staff.covers(five))
            && let Some(staff) = strips.staff(five, page)
            && !staves.iter().any(|other| overlap(other, &staff))
        {
            staves.push(staff);
        }
    }
    staves
}

/// A page has so many staves at least if more are looked for: a page of words has none.
const FEW: usize = 3;

/// As long as this part of the others is a staff that was missing among them.
const AS_LONG: f32 = 0.6;

/// The staves of a page with those that were lost where one was followed across the fold to another.
fn with_missing(mut staves: Vec<Staff>, alone: impl Iterator<Item = Staff>) -> Vec<Staff> {
    let length = |staff: &Staff| staff.middle.len() as f32;
    if staves.len() >= FEW
        && let Some(usual) = middle(staves.iter().map(length).collect())
    {
        for staff in alone {
            if length(&staff) > AS_LONG * usual
                && !staves.iter().any(|other| overlap(other, &staff))
            {
                staves.push(staff);
            }
        }
    }
    staves
}

/// How clear the lines of most staves are.
fn clearest(pages: &[Vec<Staff>]) -> f32 {
    let mut depths: Vec<f32> = pages.iter().flatten().map(|staff| staff.depth).collect();
    depths.sort_by(f32::total_cmp);
    depths.get(depths.len() * 3 / 4).copied().unwrap_or(0.0)
}

/// Whether two staves lie upon one another.
fn overlap(one: &Staff, other: &Staff) -> bool {
    let (a, b) = (one.ends(), other.ends());
    let (left, right) = (a[0].max(b[0]), a[1].min(b[1]));
    right > left
        && [left, f32::midpoint(left, right), right]
            .iter()
            .any(|&x| (one.at(x) - other.at(x)).abs() < 3.5 * one.space)
}

/// From the top down, and of those that stand beside one another the left one first.
fn from_the_top(mut staves: Vec<Staff>) -> Vec<Staff> {
    let height = |staff: &Staff| staff.middle.iter().sum::<f32>() / staff.middle.len() as f32;
    staves.sort_by(|a, b| height(a).total_cmp(&height(b)));
    let mut start = 0;
    while start < staves.len() {
        let top = height(&staves[start]);
        let row =
            staves[start..].iter().take_while(|staff| height(staff) - top < 2.5 * staff.space);
        let end = start + row.count();
        staves[start..end].sort_by_key(|staff| staff.first);
        start = end;
    }
    staves
}

/// The strip at which an opening is folded: near the middle, where next to no staff is seen although
/// there are some on either side.
fn fold(level: &Level, staves: &[Staff]) -> Option<usize> {
    let space = middle(staves.iter().map(|staff| staff.space).collect())?;
    let strips = level.strips();
    let seen = |strip: usize| {
        let is_there = |staff: &&Staff| {
            strip
                .checked_sub(staff.first)
                .and_then(|at| staff.seen.get(at))
                .is_some_and(|seen| *seen)
        };
        staves.iter().filter(is_there).count()
    };
    let counts: Vec<usize> = (0..strips).map(seen).collect();
    let [from, to] = FOLD.map(|part| (part * strips as f32) as usize);
    let most = |counts: &[usize]| counts.iter().copied().max().unwrap_or(0);
    // The widest run of strips with hardly anything in them, with staves on both sides.
    let few = |strip: usize| {
        let sides = most(&counts[..strip]).min(most(&counts[strip..]));
        4 * counts[strip] <= sides && sides > 0
    };
    let mut best: Option<(usize, usize)> = None;
    let mut start = from;
    for strip in from..=to.min(strips) {
        if strip == to || !few(strip) {
            if strip > start && best.is_none_or(|(a, b)| strip - start > b - a) {
                best = Some((start, strip));
            }
            start = strip + 1;
        }
    }
    let (start, end) = best?;
    // A strip is seen as long as half of it has lines; so a fold is wider than it looks.
    ((end - start + 1) as f32 * PIECE as f32 > 1.5 * space).then_some(usize::midpoint(start, end))
}
