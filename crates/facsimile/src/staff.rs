//! One staff followed through a level from where it was seen: along its lines, over blots and heads, to
//! its ends; then looked at as a whole.

use std::ops::Range;

use crate::fives::{Five, STEEPEST};
use crate::level::{Ink, Level, PIECE, between};

/// Over so many spaces a staff is followed where its lines are not seen.
const LONGEST_GAP: f32 = 12.0;

/// So many spaces a staff is long at least.
const SHORTEST: f32 = 16.0;

/// In at least this part of the strips between its ends, its lines are seen.
const SEEN: f32 = 0.55;

/// No line of a staff is fainter than this part of its clearest.
const FAINTEST: f32 = 0.3;

/// A staff as it lies in a level.
#[derive(Clone, Debug)]
pub(crate) struct Staff {
    /// Its first strip.
    pub(crate) first: usize,
    /// The row of its middle line, strip by strip.
    pub(crate) middle: Vec<f32>,
    /// The distance of two lines.
    pub(crate) space: f32,
    /// In which strips its lines are seen.
    pub(crate) seen: Vec<bool>,
    /// By how many shades its lines differ from the paper.
    pub(crate) depth: f32,
}

/// The strips of a level, inkier rows higher.
pub(crate) struct Strips {
    strips: Vec<Vec<f32>>,
}

/// Where the middle line is in a strip.
#[derive(Clone, Copy)]
struct Seen {
    strip: usize,
    y: f32,
}

impl Strips {
    /// All strips of a level.
    pub(crate) fn new(level: &Level, ink: Ink) -> Strips {
        Strips { strips: (0..level.strips()).map(|strip| level.strip(strip, ink)).collect() }
    }

    /// By how much a line differs from what is half a space above and below it.
    fn line(&self, strip: usize, y: f32, space: f32) -> f32 {
        let rows = &self.strips[strip];
        let beside = between(rows, y - space / 2.0) + between(rows, y + space / 2.0);
        between(rows, y) - beside / 2.0
    }

    /// How much there is of five lines, from 0 to 1, where each is of such a depth; nothing where fewer
    /// than four can be seen.
    fn five(&self, strip: usize, y: f32, space: f32, depth: f32) -> Option<f32> {
        let lines = [-2.0, -1.0, 0.0, 1.0, 2.0]
            .map(|line| (self.line(strip, y + line * space, space) / depth).clamp(-0.5, 1.2));
        let clear = lines.iter().filter(|line| **line > 0.3).count();
        (clear >= 4).then(|| lines.iter().sum::<f32>() / 5.0)
    }

    /// The staff that is seen somewhere, as far as it goes in some strips, if it is one.
    pub(crate) fn staff(&self, five: &Five, page: &Range<usize>) -> Option<Staff> {
        let (space, y) = (five.space, five.y);
        let lines = [-2.0, -1.0, 0.0, 1.0, 2.0];
        let depths = lines.map(|line| self.line(five.strip, y + line * space, space));
        let depth = middle(depths.to_vec())?;
        if depth <= 0.0 {
            return None;
        }
        let mut seen = self.follow(five, page, depth, false);
        seen.reverse();
        seen.push(Seen { strip: five.strip, y });
        seen.extend(self.follow(five, page, depth, true));
        let seen = without_strays(&seen, space);
        self.whole(seen, space)
    }

    /// Where the middle line goes on, to the left or right.
    fn follow(&self, five: &Five, page: &Range<usize>, depth: f32, right: bool) -> Vec<Seen> {
        let (mut y, mut slope, mut missed) = (five.y, 0.0_f32, 0.0_f32);
        let mut space = five.space;
        let mut seen: Vec<Seen> = Vec::new();
        let mut strip = five.strip;
        loop {
            let next = if right { strip.checked_add(1) } else { strip.checked_sub(1) };
            let Some(next) = next.filter(|next| page.contains(next)) else { break };
            strip = next;
            y += slope;
            // The longer nothing was seen, the farther it may be off.
            let reach = 0.16 * space + 0.04 * missed * PIECE as f32;
            let steps = (reach / 0.25).ceil() as i32;
            let tried = (-steps..=steps).flat_map(|step| {
                let y = y + 0.25 * step as f32;
                [0.98, 1.0, 1.02].map(|factor| (y, space * factor))
            });
            let found = tried.filter_map(|(at, space)| {
                let clear = self.five(strip, at, space, depth)?;
                Some((clear - 0.02 * (at - y).abs(), at, space))
            });
            match found.max_by(|one, other| one.0.total_cmp(&other.0)) {
                Some((clear, at, wide)) if clear > 0.45 => {
                    let off = at - y;
                    slope = (slope + 0.15 * off)
                        .clamp(-STEEPEST * PIECE as f32, STEEPEST * PIECE as f32);
                    y += 0.6 * off;
                    space =
                        (space + 0.2 * (wide - space)).clamp(0.85 * five.space, 1.15 * five.space);
                    missed = 0.0;
                    seen.push(Seen { strip, y: at });
                }
                _ => {
                    missed += 1.0;
                    if missed * PIECE as f32 > LONGEST_GAP * space {
                        break;
                    }
                }
            }
        }
        seen
    }

    /// The staff of all places where its lines are seen, if it is one as a whole: five lines, all of
    /// them clear, and not the fifth part of a hatching.
    fn whole(&self, seen: &[Seen], space: f32) -> Option<Staff> {
        let (first, last) = (seen.first()?.strip, seen.last()?.strip);
        let length = last - first + 1;
        let enough = seen.len() as f32 >= SEEN * length as f32;
        if !enough || (length + 1) as f32 * PIECE as f32 <= SHORTEST * space {
            return None;
        }
        let smooth = smooth(seen, first, last);
        let space = self.best_space(seen, &smooth, first, space);
        // Where the lines are, among four above and four below the one followed.
        let depths: Vec<f32> = (-5..=5)
            .map(|line| {
                let depths = seen.iter().map(|at| {
                    self.line(at.strip, smooth[at.strip - first] + line as f32 * space, space)
                });
                middle(depths.collect()).unwrap_or(0.0)
            })
            .collect();
        let clearest = depths[3..8].iter().copied().fold(0.0, f32::max);
        let capped: Vec<f32> = depths.iter().map(|depth| depth.min(clearest)).collect();
        let total = |top: usize| capped[top..top + 5].iter().sum::<f32>();
        let top = (1..=5).max_by(|&a, &b| {
            // The one followed, where others are as clear.
            (total(a) - 0.1 * a.abs_diff(3) as f32)
                .total_cmp(&(total(b) - 0.1 * b.abs_diff(3) as f32))
        })?;
        let staff = &depths[top..top + 5];
        let faintest = staff.iter().copied().fold(f32::INFINITY, f32::min);
        let mean = staff.iter().sum::<f32>() / 5.0;
        let is_line = |place: Option<usize>| {
            place.and_then(|place| depths.get(place)).is_some_and(|line| *line > 0.4 * mean)
        };
        let (above, below) = (is_line(top.checked_sub(1)), is_line(Some(top + 5)));
        let farther = (is_line(top.checked_sub(2)), is_line(Some(top + 6)));
        // One more may be the rule of a frame.
        let is_hatching = (above && (below || farther.0)) || (below && farther.1);
        if faintest < FAINTEST * clearest || is_hatching {
            return None;
        }
        let off = (top as f32 - 3.0) * space;
        let middle: Vec<f32> = smooth.iter().map(|y| y + off).collect();
        let mut is_seen = vec![false; length];
        for at in seen {
            is_seen[at.strip - first] = true;
        }
        Some(Staff { first, middle, space, seen: is_seen, depth: mean })
    }

    /// What of a staff is in some strips, if that is a staff by itself.
    pub(crate) fn part(&self, staff: &Staff, page: &Range<usize>) -> Option<Staff> {
        let all = staff.middle.iter().zip(&staff.seen).enumerate();
        let seen = all.filter(|(_, (_, seen))| **seen);
        let seen = seen.map(|(place, (y, _))| Seen { strip: staff.first + place, y: *y });
        let seen: Vec<Seen> = seen.filter(|seen| page.contains(&seen.strip)).collect();
        self.whole(&seen, staff.space)
    }

    /// The distance of two lines with which all five are clearest.
    fn best_space(&self, seen: &[Seen], smooth: &[f32], first: usize, space: f32) -> f32 {
        let clear = |space: f32| -> f32 {
            let outer = seen.iter().map(|at| {
                let y = smooth[at.strip - first];
                let lines = [-2.0, -1.0, 1.0, 2.0];
                lines.map(|line| self.line(at.strip, y + line * space, space)).iter().sum::<f32>()
            });
            outer.sum()
        };
        let tried = (-10..=10).map(|step| space * (1.0 + 0.01 * step as f32));
        tried.max_by(|a, b| clear(*a).total_cmp(&clear(*b))).unwrap_or(space)
    }
}

impl Staff {
    /// The row of the middle line at a place from left to right, in pixels of the level.
    pub(crate) fn at(&self, x: f32) -> f32 {
        let place = x / PIECE as f32 - 1.0 - self.first as f32;
        let most = self.middle.len() - 1;
        let inside = place.clamp(0.0, most as f32);
        let slope = |from: usize, to: usize| {
            if to > from { (self.middle[to] - self.middle[from]) / (to - from) as f32 } else { 0.0 }
        };
        // Beyond the ends it goes on as it came.
        let near = 8.min(most);
        let beyond = if place < 0.0 {
            place * slope(0, near)
        } else {
            (place - inside) * slope(most - near, most)
        };
        between(&self.middle, inside) + beyond
    }

    /// Where it begins and ends, in pixels of the level.
    pub(crate) fn ends(&self) -> [f32; 2] {
        let last = self.first + self.middle.len() - 1;
        [Level::middle(self.first) - PIECE as f32, Level::middle(last) + PIECE as f32]
    }

    /// Whether it covers the middle line of another.
    pub(crate) fn covers(&self, five: &Five) -> bool {
        let [left, right] = self.ends();
        let x = Level::middle(five.strip);
        (left..=right).contains(&x) && (self.at(x) - five.y).abs() < 3.2 * self.space
    }
}

/// Without what is seen beyond its ends: a run that is shorter than the gap before it.
fn without_strays(mut seen: &[Seen], space: f32) -> &[Seen] {
    let gap = |pair: &[Seen]| pair[1].strip - pair[0].strip - 1;
    let wide = |gap: usize| gap as f32 * PIECE as f32 > 2.5 * space;
    let is_stray =
        |run: &[Seen], gap: usize| wide(gap) && run[run.len() - 1].strip - run[0].strip < 2 * gap;
    while let Some(last) = seen.windows(2).rposition(|pair| wide(gap(pair)))
        && is_stray(&seen[last + 1..], gap(&seen[last..last + 2]))
    {
        seen = &seen[..=last];
    }
    while let Some(first) = seen.windows(2).position(|pair| wide(gap(pair)))
        && is_stray(&seen[..=first], gap(&seen[first..first + 2]))
    {
        seen = &seen[first + 1..];
    }
    seen
}

/// What is seen, without what jumps: at each strip a straight line through the strips near it, the
/// nearest counting most, and once more without what is far off.
fn smooth(seen: &[Seen], first: usize, last: usize) -> Vec<f32> {
    const REACH: usize = 10;
    let mut at: Vec<Option<f32>> = vec![None; last - first + 1];
    for one in seen {
        at[one.strip - first] = Some(one.y);
    }
    let fitted = |place: usize, reach: usize, off: &dyn Fn(usize, f32) -> f32| {
        let (mut n, mut x1, mut x2, mut y1, mut xy) = (0.0_f32, 0.0_f32, 0.0_f32, 0.0_f32, 0.0_f32);
        let from = place.saturating_sub(reach);
        for (strip, y) in at.iter().enumerate().take(place + reach + 1).skip(from) {
            let Some(y) = *y else { continue };
            let x = strip as f32 - place as f32;
            let near = 1.0 - (x.abs() / (reach as f32 + 1.0)).powi(3);
            let weight = near.powi(3) * off(strip, y);
            n += weight;
            x1 += weight * x;
            x2 += weight * x * x;
            y1 += weight * y;
            xy += weight * x * y;
        }
        let spread = n * x2 - x1 * x1;
        (spread > 1e-3 && n > 0.5).then(|| (y1 * x2 - x1 * xy) / spread)
    };
    let pass = |off: &dyn Fn(usize, f32) -> f32| -> Vec<f32> {
        (0..at.len())
            .map(|place| {
                let reaches = [REACH, 2 * REACH, 4 * REACH, at.len()];
                let found = reaches.iter().find_map(|reach| fitted(place, *reach, off));
                found.or(at[place]).unwrap_or_else(|| seen[0].y)
            })
            .collect()
    };
    let once = pass(&|_, _| 1.0);
    pass(&|strip, y| 1.0 / (1.0 + (2.0 * (y - once[strip])).powi(2)))
}

/// The middle of some numbers by size.
pub(crate) fn middle(mut numbers: Vec<f32>) -> Option<f32> {
    let half = numbers.len() / 2;
    (half < numbers.len()).then(|| *numbers.select_nth_unstable_by(half, f32::total_cmp).1)
}
