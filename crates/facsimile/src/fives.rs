//! Five lines at equal distances, looked for in each strip on its own: where they are, and how far apart
//! the lines of the picture's staves stand.

use crate::level::{Ink, Level, between};

/// The distances of two lines that are looked for, in pixels of a level. The next level has those from
/// twice the least, so that no distance is left out.
const SPACES: [f32; 2] = [3.4, 9.0];

/// How many shades a line must differ from what is above and below it: faint lines, plain ones, and
/// such as stand out from stains.
const DEPTHS: [f32; 3] = [4.0, 10.0, 24.0];

/// How many strips beside a five have a say in it.
const NEIGHBOURS: usize = 6;

/// By how many rows a line may rise or fall in a row of pixels: four degrees.
pub(crate) const STEEPEST: f32 = 0.07;

/// Five lines in a strip.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Five {
    /// The strip.
    pub(crate) strip: usize,
    /// The row of the middle line.
    pub(crate) y: f32,
    /// The distance of two lines.
    pub(crate) space: f32,
    /// By how much the faintest differs from the spaces beside it.
    depth: f32,
    /// In how many of the strips beside it there are such lines too.
    pub(crate) support: usize,
}

/// The fives of a level that have others beside them, and how they are looked at.
pub(crate) struct Fives {
    /// Which level, of all.
    pub(crate) level: usize,
    /// What is ink in it.
    pub(crate) ink: Ink,
    /// The distance of two lines that most of them have.
    pub(crate) space: f32,
    /// All of about this distance, those with most support first.
    pub(crate) all: Vec<Five>,
}

/// The fives of the scale at which there are most.
pub(crate) fn fives(levels: &[Level]) -> Option<Fives> {
    let mut best: Option<(f32, Fives)> = None;
    for (place, level) in levels.iter().enumerate() {
        for ink in [Ink::Dark, Ink::Light] {
            let found = supported(level, ink);
            let Some((space, weight)) = commonest(&found) else { continue };
            if best.as_ref().is_none_or(|(most, _)| weight > *most) {
                best = Some((weight, Fives { level: place, ink, space, all: found }));
            }
        }
    }
    let (_, mut best) = best?;
    let space = best.space;
    best.all.retain(|five| (five.space / space).ln().abs() < 0.16);
    best.all.sort_by(|a, b| b.support.cmp(&a.support).then(b.depth.total_cmp(&a.depth)));
    Some(best)
}

/// The fives of all strips that have the like beside them.
fn supported(level: &Level, ink: Ink) -> Vec<Five> {
    let strips: Vec<Vec<Five>> =
        (0..level.strips()).map(|strip| of_strip(strip, &level.strip(strip, ink))).collect();
    let is_near = |five: &Five, other: &Five| {
        let apart = five.strip.abs_diff(other.strip) as f32 * crate::level::PIECE as f32;
        (five.y - other.y).abs() < STEEPEST * apart + 0.8
            && (five.space - other.space).abs() < 0.1 * five.space
    };
    let mut found = Vec::new();
    for five in strips.iter().flatten() {
        let first = five.strip.saturating_sub(NEIGHBOURS);
        let last = (five.strip + NEIGHBOURS).min(strips.len() - 1);
        let beside = (first..=last).filter(|&strip| strip != five.strip);
        let support = beside.filter(|&strip| {
            let others = &strips[strip];
            let reach = STEEPEST * (NEIGHBOURS * crate::level::PIECE) as f32 + 0.8;
            let from = others.partition_point(|other| other.y < five.y - reach);
            let near = others[from..].iter().take_while(|other| other.y < five.y + reach);
            near.into_iter().any(|other| is_near(five, other))
        });
        let support = support.count();
        if support >= 2 {
            found.push(Five { support, ..*five });
        }
    }
    found
}

/// The fives of a strip, from the top down.
fn of_strip(strip: usize, rows: &[f32]) -> Vec<Five> {
    let mut found: Vec<Five> = Vec::new();
    for depth in DEPTHS {
        let lines = lines(rows, depth);
        for five in lines.windows(5) {
            let space = (five[4] - five[0]) / 4.0;
            let even = |pair: &[f32]| (pair[1] - pair[0] - space).abs() < 0.15 * space + 0.3;
            if (SPACES[0]..SPACES[1]).contains(&space) && five.windows(2).all(even) {
                let y = five.iter().sum::<f32>() / 5.0;
                found.push(Five { strip, y, space, depth, support: 0 });
            }
        }
    }
    found.sort_by(|a, b| a.y.total_cmp(&b.y).then(b.depth.total_cmp(&a.depth)));
    found.dedup_by(|later, first| {
        (later.y - first.y).abs() < 0.5 && {
            first.depth = first.depth.max(later.depth);
            true
        }
    });
    found
}

/// The rows of the lines that are inkier by so much than what is between them and the next.
fn lines(rows: &[f32], depth: f32) -> Vec<f32> {
    let mut lines = Vec::new();
    let (mut top, mut bottom) = (0, 0);
    let mut rising = true;
    for (y, &inky) in rows.iter().enumerate() {
        if rising {
            if inky > rows[top] {
                top = y;
            } else if inky < rows[top] - depth {
                lines.push(summit(rows, top));
                (rising, bottom) = (false, y);
            }
        } else if inky < rows[bottom] {
            bottom = y;
        } else if inky > rows[bottom] + depth {
            (rising, top) = (true, y);
        }
    }
    lines
}

/// Where a parabola through a row and those beside it is highest.
fn summit(rows: &[f32], y: usize) -> f32 {
    let before = between(rows, y as f32 - 1.0);
    let after = between(rows, y as f32 + 1.0);
    let bend = 2.0 * rows[y] - before - after;
    let off = if bend > 0.0 { (after - before) / (2.0 * bend) } else { 0.0 };
    y as f32 + off.clamp(-0.5, 0.5)
}

/// The distance of lines that has most weight, and how much: the length of all that have it, in
/// distances.
fn commonest(fives: &[Five]) -> Option<(f32, f32)> {
    const STEP: f32 = 0.03;
    let bins = ((SPACES[1] / SPACES[0]).ln() / STEP).ceil() as usize + 3;
    let mut weights = vec![0.0_f32; bins];
    for five in fives {
        let bin = ((five.space / SPACES[0]).ln() / STEP).max(0.0) as usize + 1;
        weights[bin.min(bins - 2)] += five.support as f32 * five.depth.sqrt() / five.space;
    }
    let around = |bin: usize| weights[bin - 1] + weights[bin] + weights[bin + 1];
    let best = (1..bins - 1).max_by(|&a, &b| around(a).total_cmp(&around(b)))?;
    let weight = around(best);
    let space = SPACES[0] * (STEP * (best as f32 - 0.5)).exp();
    (weight > 0.0).then_some((space, weight))
}
